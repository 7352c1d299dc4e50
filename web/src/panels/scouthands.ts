// Hands on the Scout screen: files dropped or chosen, presses in the photograph, the keys of its cross.
import type { Desk } from "../actions/desk.ts";
import { clamp } from "../units/stops.ts";

export class ScoutHands {
  constructor(private readonly desk: Desk) {
    const root = document.getElementById("scout");
    root?.addEventListener("click", (e) => this.click(e));
    root?.addEventListener("change", (e) => this.chosen(e));
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
    if (files.length) void this.desk.scout.bring(files);
  }

  private dropped(e: DragEvent): void {
    if (!this.here) return;
    e.preventDefault();
    const files = [...(e.dataTransfer?.files ?? [])];
    if (!files.length) return;
    this.desk.store.set({ scPart: "photos" });
    void this.desk.scout.bring(files);
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
