// Hands on the Scout screen: files dropped or chosen, presses in the photograph, the keys of its cross.
import type { Desk } from "../actions/desk.ts";
import { clamp } from "../units/stops.ts";

export class ScoutHands {
  constructor(private readonly desk: Desk) {
    const root = document.getElementById("scout");
    root?.addEventListener("click", (e) => this.click(e));
    root?.addEventListener("change", (e) => this.chosen(e));
    root?.addEventListener("pointerdown", (e) => this.boxFrom(e));
    // What is dropped beside the screen does not take the page away either.
    addEventListener("dragover", (e) => { if (this.here) e.preventDefault(); });
    addEventListener("drop", (e) => this.dropped(e));
  }

  private get here(): boolean { return this.desk.store.page.pane === "scout"; }

  private chosen(e: Event): void {
    const t = e.target;
    if (!(t instanceof HTMLInputElement) || !t.hasAttribute("data-scfile")) return;
    const files = [...(t.files ?? [])];
    t.value = ""; // the same file may be chosen again
    if (files.length) this.desk.scout.files(files);
  }

  private dropped(e: DragEvent): void {
    if (!this.here) return;
    e.preventDefault();
    const files = [...(e.dataTransfer?.files ?? [])];
    if (files.length) this.desk.scout.files(files);
  }

  private click(e: MouseEvent): void {
    const svg = (e.target as Element).closest<SVGSVGElement>("#scpic"), to = svg?.getScreenCTM()?.inverse();
    if (!svg || !to) return;
    const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(to), b = svg.viewBox.baseVal,
      x = (100 * at.x) / b.width, y = (100 * at.y) / b.height;
    if (x < 0 || x > 100 || y < 0 || y > 100) return;
    svg.focus({ preventScroll: true });
    this.desk.store.set({ scCursor: null });
    this.desk.scout.press({ x, y });
  }

  /** A box drawn on the plan of a scan takes away what lies in it, from floor to ceiling. */
  private boxFrom(e: PointerEvent): void {
    const svg = (e.target as Element).closest<SVGSVGElement>("#scanplan"), s = this.desk.store,
      high = s.page.scScan?.found?.ceiling ?? 0;
    if (!svg || e.button !== 0) return;
    const at = (x: PointerEvent): [number, number] => {
      const v = new DOMPoint(x.clientX, x.clientY).matrixTransform(svg.getScreenCTM()?.inverse()),
        by = Number(svg.dataset["s"]), two = (n: number): number => Math.round(n * 100) / 100;
      return [two((v.x - Number(svg.dataset["x"])) / by), two((Number(svg.dataset["y"]) - v.y) / by)];
    };
    const from = at(e), box = (x: PointerEvent): [number, number, number, number] => {
      const to = at(x);
      return [Math.min(from[0], to[0]), Math.min(from[1], to[1]), Math.max(from[0], to[0]), Math.max(from[1], to[1])];
    };
    const move = (x: PointerEvent): void => { if (x.pointerId === e.pointerId) s.set({ scBox: box(x) }); },
      end = (x: PointerEvent): void => {
        if (x.pointerId !== e.pointerId) return;
        removeEventListener("pointermove", move);
        removeEventListener("pointerup", end);
        removeEventListener("pointercancel", end);
        const [x0, y0, x1, y1] = box(x);
        s.set({ scBox: null });
        if (x.type === "pointerup" && x1 - x0 > 0.05 && y1 - y0 > 0.05)
          this.desk.scout.scan.cut([x0, y0, 0, x1, y1, Math.round(100 * high) / 100]);
      };
    e.preventDefault();
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
    addEventListener("pointercancel", end);
  }

  /** Arrow keys move the cross by one per cent, with Shift by a fifth of that; Enter presses. */
  key(e: KeyboardEvent): boolean {
    const t = e.target;
    if (!(t instanceof Element) || t.id !== "scpic" || e.ctrlKey || e.metaKey || e.altKey) return false;
    const s = this.desk.store, c = s.page.scCursor ?? { x: 50, y: 50 }, by = e.shiftKey ? 0.2 : 1,
      way = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1],
        ArrowDown: [0, 1] } as const)[e.key as "ArrowUp"];
    if (way) {
      s.set({ scCursor: { x: clamp(c.x + by * way[0], 0, 100), y: clamp(c.y + by * way[1], 0, 100) } });
      return true;
    }
    if ((e.key === "Enter" || e.key === " ") && s.page.scCursor) { this.desk.scout.press(c); return true; }
    return false;
  }
}
