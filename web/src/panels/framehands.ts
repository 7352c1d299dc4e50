// Pointers and keys on the picture: the wipe, the crop's handles, the spot under the keyboard, Space.
import type { Desk } from "../actions/desk.ts";
import { cropBy, cursor, flip, wipe } from "../actions/picture.ts";
import type { Crop } from "../model/crop.ts";
import type { Picture } from "./picture.ts";

export class FrameHands {
  private wiping = false;
  private crop: { grip: string; from: Crop; x: number; y: number; merge: string } | null = null;
  private readonly frame = document.getElementById("frame");

  constructor(private readonly desk: Desk, private readonly picture: Picture) {
    this.frame?.addEventListener("pointerdown", (e) => this.down(e));
    addEventListener("pointermove", (e) => this.move(e));
    addEventListener("pointerup", () => this.up());
    addEventListener("pointercancel", () => this.up());
    addEventListener("keyup", (e) => { if (e.key === " " && quiet(e.target)) flip(this.desk, false, e.timeStamp); });
    // A button that a pointer has pressed lets the keyboard go, so that
    // Space is free again; Tab still goes on from there.
    document.addEventListener("click", (e) => {
      if (e.detail > 0 && document.activeElement instanceof HTMLButtonElement) document.activeElement.blur();
    });
    addEventListener("blur", () => flip(this.desk, false, performance.now()));
  }

  private down(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-drag]"), what = t?.getAttribute("data-drag");
    if (!(t instanceof HTMLElement || t instanceof SVGElement)) return;
    e.preventDefault();
    t.focus({ preventScroll: true });
    if (what === "wipe") { this.wiping = true; return; }
    const c = this.desk.store.page.view?.camera;
    if (what === "crop" && c) this.crop = { grip: t.getAttribute("data-path") ?? "", from: c.crop, x: e.clientX,
        y: e.clientY, merge: this.desk.merge("crop") };
  }

  private move(e: PointerEvent): void {
    const r = this.frame?.getBoundingClientRect();
    if (!r) return;
    if (this.wiping) wipe(this.desk, (e.clientX - r.left) / r.width);
    const k = this.crop;
    if (!k) return;
    const b = this.picture.box, next = cropBy(this.desk, k.from, k.grip, (e.clientX - k.x) / b.w,
      (e.clientY - k.y) / b.h, e.shiftKey, k.merge);
    this.desk.store.set({ drag: { what: "crop", path: "crop", crop: [...next] as [number, number, number, number] } });
  }

  private up(): void {
    this.wiping = false;
    if (!this.crop) return;
    this.crop = null;
    void this.settle();
  }

  private async settle(): Promise<void> {
    const s = this.desk.store;
    const open = (): boolean => !this.desk.editor.idle ||
      (s.page.view?.revision ?? 0) < (s.page.state?.good_revision ?? 0);
    for (let k = 0; k < 200 && open(); k++) await new Promise((r) => setTimeout(r, 20));
    if (s.page.drag?.what === "crop") s.set({ drag: null });
  }

  /** Keys on what has the focus in the picture, and Space. */
  key(e: KeyboardEvent): boolean {
    if (e.ctrlKey || e.metaKey || e.altKey) return false;
    const t = e.target as Element | null, what = t?.getAttribute("data-drag"), p = this.desk.store.page;
    const ways: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1],
      ArrowDown: [0, 1] }, way = ways[e.key];
    if (what === "wipe" && p.compare) {
      const to = e.key === "Home" ? 0 : e.key === "End" ? 1 : way
        ? p.compare.at + (way[0] - way[1]) * (e.shiftKey ? 0.1 : 0.02) : null;
      if (to !== null) { wipe(this.desk, to); return true; }
    }
    if (what === "crop" && way && p.view?.camera) {
      const step = e.shiftKey ? 0.05 : 0.01;
      cropBy(this.desk, p.view.camera.crop, t?.getAttribute("data-path") ?? "", way[0] * step, way[1] * step, false,
        "crop-keys");
      return true;
    }
    if (t?.id === "frame" && way) {
      const step = e.shiftKey ? 0.1 : 0.02;
      cursor(this.desk, way[0] * step, way[1] * step);
      return true;
    }
    if (t?.id === "frame" && e.key === "Enter") {
      const c = p.cursor ?? { x: 0.5, y: 0.5 };
      void this.desk.spot(c.x, c.y);
      return true;
    }
    if (e.key === " " && quiet(t) && !p.opening) { if (!e.repeat) flip(this.desk, true, e.timeStamp); return true; }
    return false;
  }
}

/** Space is free where nothing that it would press has the focus. */
const quiet = (t: EventTarget | null): boolean =>
  !(t instanceof Element && t.closest("button,input,select,textarea,a,[role=button],[role=slider]:not(.wipe)"));
