// Hands on the plan and the section: drags, panning, wheel and pinch, and the keys of what has the focus.
import type { Desk } from "../actions/desk.ts";
import * as place from "../actions/place.ts";
import { faceOfSitter, placeOfThing, whyNot, type Thing, type V3 } from "../model/things.ts";
import { snapped } from "../model/snap.ts";
import { clamp, lengthText } from "../units/stops.ts";
import type { Show } from "./show.ts";

/** How near a line pulls, pixels; a thing is taken up after a finger or a pointer has gone this far. */
const pull = 7, start = { mouse: 3, touch: 8 };

interface Hold { thing: Thing; view: "plan" | "section"; from: V3; x: number; y: number; moved: boolean; id: number;
  last: V3 | null }

export class PlanHands {
  private hold: Hold | null = null;
  private pan: { zx: number; zy: number; x: number; y: number; moved: boolean; id: number } | null = null;
  private readonly fingers = new Map<number, [number, number]>();
  private pinch: { far: number; k: number } | null = null;
  private merge = "";
  private readonly svg = document.getElementById("plan");

  constructor(private readonly desk: Desk, private readonly show: Show) {
    this.svg?.addEventListener("pointerdown", (e) => this.down(e as PointerEvent));
    addEventListener("pointermove", (e) => this.move(e));
    addEventListener("pointerup", (e) => this.up(e));
    addEventListener("pointercancel", (e) => this.up(e));
    this.svg?.addEventListener("wheel", (e) => this.wheel(e as WheelEvent), { passive: false });
    this.svg?.addEventListener("dblclick", (e) => {
      if (!(e.target as Element).closest("[data-drag]")) place.fit(desk);
    });
    desk.zoomPlan = (f) => {
      const r = this.svg?.getBoundingClientRect();
      if (r) this.zoom(f, r.width / 2, r.height / 2);
    };
  }

  private down(e: PointerEvent): void {
    if (e.pointerType === "mouse" && e.button !== 0) return;
    this.fingers.set(e.pointerId, [e.clientX, e.clientY]);
    if (this.fingers.size === 2) {
      // A second finger turns the hand to zooming; what was held goes on from where it is.
      if (this.hold && !this.hold.moved) this.hold = null;
      if (!this.hold) this.beginPinch();
      return;
    }
    const t = (e.target as Element).closest("[data-drag]"), z = this.desk.store.page.zoom;
    if (!t) {
      this.pan = { zx: z.x, zy: z.y, x: e.clientX, y: e.clientY, moved: false, id: e.pointerId };
      return;
    }
    e.preventDefault();
    const v = this.desk.store.page.view, what = t.getAttribute("data-drag") ?? "",
      path = t.getAttribute("data-path") ?? "", from = v && placeOfThing(v, { what, path });
    if (!from) return;
    const focus = t.matches("[tabindex]") ? t : t.querySelector("[tabindex]");
    if (focus instanceof SVGElement) focus.focus({ preventScroll: true });
    this.merge = this.desk.merge("drag");
    this.hold = { thing: { what, path }, view: t.getAttribute("data-view") === "section" ? "section" : "plan", from,
      x: e.clientX, y: e.clientY, moved: false, id: e.pointerId, last: null };
    this.select({ what, path }, Number(t.getAttribute("data-n") ?? -1));
  }

  /** Selects a thing: a light in the list too, a point in the ladder. */
  private select(t: Thing, point: number): void {
    const s = this.desk.store;
    if (t.what === "light") s.set({ light: t.path, last: "light", thing: t });
    else if (t.what !== "aim") s.set({ thing: t, light: "" });
    if (t.what === "point" && point >= 0) this.desk.selectPoint(point);
  }

  private beginPinch(): void {
    const [a, b] = [...this.fingers.values()];
    if (!a || !b) return;
    this.pan = null;
    this.pinch = { far: Math.hypot(a[0] - b[0], a[1] - b[1]), k: this.desk.store.page.zoom.k };
  }

  private move(e: PointerEvent): void {
    if (this.fingers.has(e.pointerId)) {
      const was = this.fingers.get(e.pointerId);
      this.fingers.set(e.pointerId, [e.clientX, e.clientY]);
      if (this.pinch && was) { this.pinched(e, was); return; }
    }
    const s = this.desk.store, p = s.page, far = e.pointerType === "touch" ? start.touch : start.mouse;
    if (this.pan && e.pointerId === this.pan.id) {
      const dx = e.clientX - this.pan.x, dy = e.clientY - this.pan.y;
      if (!this.pan.moved && Math.hypot(dx, dy) < far) return;
      this.pan.moved = true;
      s.set({ zoom: { ...p.zoom, x: this.pan.zx + dx, y: this.pan.zy + dy } });
      return;
    }
    const h = this.hold, at = this.show.place;
    if (!h || !at || e.pointerId !== h.id) return;
    const dx = e.clientX - h.x, dy = e.clientY - h.y;
    if (!h.moved && Math.hypot(dx, dy) < far) return;
    h.moved = true;
    const mx = dx / at.s, my = -dy / at.s;
    const raw: V3 = h.view === "section" ? [h.from[0] + mx, h.from[1], h.thing.what === "sitter" ? 0
      : h.from[2] + my] : [h.from[0] + mx, h.from[1] + my, h.from[2]];
    this.drop(h, raw, e.altKey || !p.snap, clamp(pull / at.s, 0.02, 0.15));
  }

  /**
   * Puts what is held at a place, snapped, and says how far that is from
   * what matters. What cannot be built is shown, not asked.
   */
  private drop(h: Hold, raw: V3, free: boolean, near: number): void {
    const s = this.desk.store, v = s.page.view, feet = s.page.units.lengths === "feet";
    if (!v) return;
    const held = free ? { at: raw.map((x) => Math.round(x * 1000) / 1000) as [number, number, number], lines: [],
      wall: 0 } : snapped(v, h.thing, raw, h.view === "section" ? (h.thing.what === "sitter" ? [0] : [0, 2])
        : [0, 1], near);
    const at: [number, number, number] = [held.at[0], held.at[1], Math.max(0, held.at[2])];
    const why = whyNot(v, h.thing, at), face = faceOfSitter(v), sitter = h.thing.what === "sitter";
    const far = face && !sitter
      ? `, ${lengthText(Math.hypot(at[0] - face[0], at[1] - face[1], at[2] - face[2]), feet)} from the face` : "";
    s.set({ drag: { what: h.thing.what, path: h.thing.path, at, view: h.view, lines: held.lines, why,
      note: `x ${lengthText(at[0], feet)}  y ${lengthText(at[1], feet)}${sitter ? ""
        : `  height ${lengthText(at[2], feet)}`}${far}${held.wall ? `, against wall ${held.wall}` : ""}${why
        ? `: ${why}` : ""}` } });
    if (place.impossible(h.thing, why)) return;
    h.last = at;
    this.desk.move({ what: h.thing.what, path: h.thing.path, at, view: h.view }, this.merge);
  }

  private up(e: PointerEvent): void {
    this.fingers.delete(e.pointerId);
    if (this.fingers.size < 2) this.pinch = null;
    if (this.pan && e.pointerId === this.pan.id) {
      const t = e.target as Element | null;
      if (!this.pan.moved && e.type === "pointerup" && t?.closest?.("#plan"))
        this.desk.store.set({ thing: null, light: "" });
      this.pan = null;
    }
    if (!this.hold || e.pointerId !== this.hold.id) return;
    this.hold = null;
    this.merge = "";
    if (this.desk.store.page.drag) void this.settle();
  }

  /** Lets go once the last change has been answered and drawn. */
  private async settle(): Promise<void> {
    const s = this.desk.store, mine = s.page.drag;
    for (let k = 0; k < 200 && !(this.desk.editor.idle && !s.page.asking &&
        (s.page.view?.revision ?? 0) >= (s.page.state?.good_revision ?? 0)); k++)
      await new Promise((r) => setTimeout(r, 20));
    if (s.page.drag === mine || !this.hold) s.set({ drag: null, trial: { k: new Map() } });
    void this.desk.live.fetchFilm();
  }

  private pinched(e: PointerEvent, was: [number, number]): void {
    const [a, b] = [...this.fingers.values()], r = this.svg?.getBoundingClientRect(), z = this.desk.store.page.zoom;
    if (!a || !b || !r || !this.pinch) return;
    // Two fingers carry the plan with them: half of what one of them moved.
    this.desk.store.set({ zoom: { ...z, x: z.x + (e.clientX - was[0]) / 2, y: z.y + (e.clientY - was[1]) / 2 } });
    const k = (this.pinch.k * Math.hypot(a[0] - b[0], a[1] - b[1])) / Math.max(this.pinch.far, 10);
    this.zoom(k / this.desk.store.page.zoom.k, (a[0] + b[0]) / 2 - r.left, (a[1] + b[1]) / 2 - r.top);
  }

  private wheel(e: WheelEvent): void {
    e.preventDefault();
    const r = (e.currentTarget as Element).getBoundingClientRect();
    this.zoom(Math.exp(-e.deltaY * (e.deltaMode === 1 ? 0.03 : 0.0015)), e.clientX - r.left, e.clientY - r.top);
  }

  /** Zooms by a factor with one place of the drawing staying where it is. */
  private zoom(by: number, cx: number, cy: number): void {
    const s = this.desk.store, z = s.page.zoom, at = this.show.place, k = clamp(z.k * by, 1, 12), f = k / z.k;
    if (!at) return;
    const ax = at.x0 + at.lo[0] * at.s - at.zx, ay = at.yPlan - at.hi[1] * at.s - at.zy;
    s.set({ zoom: k <= 1.001 ? { x: 0, y: 0, k: 1 }
      : { k, x: cx - ax - (cx - ax - z.x) * f, y: cy - ay - (cy - ay - z.y) * f } });
  }

  /** Arrows move what has the focus in the plan, or the plan itself; Enter selects. */
  key(e: KeyboardEvent): boolean {
    const t = e.target;
    if (!(t instanceof Element) || !t.closest("#plan") || e.ctrlKey || e.metaKey) return false;
    const way = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }[e.key],
      what = t.getAttribute("data-drag");
    const s = this.desk.store, z = s.page.zoom;
    if (!what) {
      if (!way || t.id !== "plan") return false;
      s.set({ zoom: { ...z, x: z.x - (way[0] ?? 0) * 40, y: z.y + (way[1] ?? 0) * 40 } });
      return true;
    }
    const thing = { what, path: t.getAttribute("data-path") ?? "" }, v = s.page.view, at = v && placeOfThing(v, thing);
    if (e.key === "Enter" || e.key === " ") { this.select(thing, Number(t.getAttribute("data-n") ?? -1)); return true; }
    if (!way || !at || !v) return false;
    if (!e.repeat || s.page.turns === 0)
      this.desk.inTurn(() => this.nudge(thing, way, e.shiftKey, t.getAttribute("data-view") === "section" || e.altKey));
    return true;
  }

  /** Moves a thing by a step of the keys from where it stands now. */
  private nudge(thing: Thing, way: number[], far: boolean, up: boolean): void {
    const s = this.desk.store, v = s.page.view, at = v && placeOfThing(v, thing);
    if (!v || !at) return;
    // With Alt up and down are height; Shift takes large steps.
    const step = far ? 0.5 : 0.05;
    const to = [at[0] + (way[0] ?? 0) * step, up ? at[1] : at[1] + (way[1] ?? 0) * step,
      up ? Math.max(0, at[2] + (way[1] ?? 0) * step) : at[2]].map((x) => Math.round(x * 1000) / 1000) as [number,
      number, number];
    const why = whyNot(v, thing, to);
    if (place.impossible(thing, why)) { s.set({ toast: `It would be ${why}: it stays where it is` }); return; }
    this.desk.move({ ...thing, at: to }, `keys-${thing.path}`);
  }
}
