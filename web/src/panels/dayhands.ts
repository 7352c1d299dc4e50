// The hand on the lanes: a block is dragged along the clock or to another person; let go, it is held there.
import type { Desk } from "../actions/desk.ts";
import { laneAt, timeAt } from "../draw/day.ts";
import { blocksOf, sitterLane } from "../model/day.ts";
import { placed } from "./day.ts";

export class DayHands {
  private grip: { id: number; task: string; lane: string; x: number; y: number; start: number;
    moved: boolean } | null = null;

  constructor(private readonly desk: Desk) {
    const svg = document.getElementById("daysvg");
    svg?.addEventListener("pointerdown", (e) => this.down(e as PointerEvent));
    svg?.addEventListener("pointermove", (e) => this.move(e as PointerEvent));
    svg?.addEventListener("pointerup", () => this.up(true));
    svg?.addEventListener("pointercancel", () => this.up(false));
    // A drag is no press.
    svg?.addEventListener("click", (e) => { if (this.dragged) { e.stopPropagation(); this.dragged = false; } },
      { capture: true });
  }

  private dragged = false;

  private down(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-task]"), task = t?.getAttribute("data-task") ?? "",
      b = blocksOf(this.desk.store.page.day).find((x) => x.task.id === task);
    this.dragged = false;
    if (!t || !b || b.over || (e.pointerType === "mouse" && e.button !== 0)) return;
    this.grip = { id: e.pointerId, task, lane: t.getAttribute("data-lane") ?? "", x: e.clientX, y: e.clientY,
      start: b.start, moved: false };
  }

  private move(e: PointerEvent): void {
    const g = this.grip, p = placed, svg = document.getElementById("daysvg");
    if (!g || !p || !svg || e.pointerId !== g.id) return;
    if (!g.moved && Math.hypot(e.clientX - g.x, e.clientY - g.y) < 5) return;
    // What is only pressed is told to the block; what is dragged may leave the drawing.
    if (!g.moved) svg.setPointerCapture(e.pointerId);
    g.moved = true;
    const r = svg.getBoundingClientRect(), k = p.x1 - p.x0, by = timeAt(p, p.x0 + e.clientX - g.x) - p.lo;
    const start = Math.round((g.start + by) / 60) * 60, over = laneAt(p, e.clientY - r.top),
      lane = over === sitterLane || g.lane === sitterLane ? "" : over;
    const d = this.desk.store.page.dayDrag;
    if (k > 0 && (d?.start !== start || d.lane !== lane)) this.desk.store.set({ dayDrag: { task: g.task, start,
      lane } });
  }

  private up(put: boolean): void {
    const g = this.grip, s = this.desk.store, d = s.page.dayDrag;
    this.grip = null;
    if (!g?.moved) return;
    this.dragged = true;
    if (put && d) {
      s.set({ dayDrag: { ...d, lane: d.lane === g.lane ? "" : d.lane } });
      this.desk.day.put(g.task, d.start, d.lane === g.lane ? "" : d.lane, g.lane);
      s.set({ dayTask: g.task });
    }
    s.set({ dayDrag: null });
  }

  /** Escape lets go of what is in the hand. */
  key(e: KeyboardEvent): boolean {
    if (e.key !== "Escape" || !this.grip?.moved) return false;
    this.up(false);
    return true;
  }
}
