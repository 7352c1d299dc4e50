// Snapping: to walls so that a thing just fits, to the lines of what stands there, to a tenth of a metre.
import { ceilingAt, faceOfSitter, insideRoom, placeOfThing, reachOf, wallsOf, type Thing, type V3 } from "./things.ts";
import type { SetupView } from "./wire.ts";

/** What a place was pulled to: lines to draw, and words. */
export interface Snapped {
  at: V3;
  /** Lines of other things that hold now: x or y or z, and where. */
  lines: { axis: 0 | 1 | 2; at: number }[];
  wall: number;
}

const grid = (v: number): number => Math.round(v * 10) / 10;
const fine = (v: number): number => Math.round(v * 1000) / 1000;

/**
 * Pulls a raw place. near is in metres (some pixels of the drawing); axes are those
 * that the hand moves: [0, 1] in the plan, [0, 2] in the section.
 */
export function snapped(v: SetupView, t: Thing, raw: V3, axes: readonly (0 | 1 | 2)[], near: number): Snapped {
  const at: [number, number, number] = [raw[0], raw[1], raw[2]], lines: Snapped["lines"] = [];
  const marks = others(v, t);
  for (const a of axes) {
    const line = marks.map((m) => m[a]).reduce<number | null>((best, x) => (
      Math.abs(x - raw[a]) < near && (best === null || Math.abs(x - raw[a]) < Math.abs(best - raw[a])) ? x
        : best), null);
    if (line !== null) lines.push({ axis: a, at: line });
    at[a] = fine(line ?? grid(raw[a]));
  }
  const wall = axes.includes(1) ? toWall(v, t, raw, at, near) : 0;
  if (axes.includes(2)) at[2] = fine(toCeiling(v, t, raw, at[2], near));
  return { at, lines: lines.filter((l) => Math.abs(at[l.axis] - l.at) < 0.0006), wall };
}

/** Places of the other things, whose lines a thing keeps to. */
function others(v: SetupView, t: Thing): V3[] {
  const out: V3[] = [];
  const put = (what: string, path: string) => {
    if (path === "" || (path === t.path && what === t.what)) return;
    const p = placeOfThing(v, { what, path });
    if (p) out.push(p);
  };
  for (const l of v.lights) if (!l.house) put("light", l.path);
  for (const p of v.panels) put("panel", p.path);
  if (v.camera) put("camera", v.camera.path);
  const face = faceOfSitter(v);
  if (v.sitter && t.what !== "sitter") out.push([v.sitter.at[0], v.sitter.at[1], face?.[2] ?? 1.6]);
  return out;
}

/** Puts a thing against a wall that it is near to, so that it just fits; its number, or 0. Changes at. */
function toWall(v: SetupView, t: Thing, raw: V3, at: [number, number, number], near: number): number {
  const reach = reachOf(v, t), gap = t.what === "point" ? 0.005 : 0.01;
  let hit = 0;
  for (const w of wallsOf(v)) {
    const along = (raw[0] - w.a[0]) * w.u[0] + (raw[1] - w.a[1]) * w.u[1];
    if (along < 0 || along > w.len) continue;
    const need = gap + Math.max(0, ...reach.map((r) => -(r[0] * w.into[0] + r[1] * w.into[1])));
    const d = (raw[0] - w.a[0]) * w.into[0] + (raw[1] - w.a[1]) * w.into[1];
    if (Math.abs(d - need) >= near) continue;
    const now = (at[0] - w.a[0]) * w.into[0] + (at[1] - w.a[1]) * w.into[1];
    const x = at[0] + (need - now) * w.into[0], y = at[1] + (need - now) * w.into[1];
    if (!insideRoom(v, x, y)) continue;
    at[0] = fine(x);
    at[1] = fine(y);
    hit = w.n;
  }
  return hit;
}

/** Just under the ceiling where a thing is near to that, and never under the floor. */
function toCeiling(v: SetupView, t: Thing, raw: V3, z: number, near: number): number {
  if (v.room.outline.length > 2 && v.room.ceiling > 0) {
    const most = ceilingAt(v, raw[0], raw[1]) - 0.01 - Math.max(0, ...reachOf(v, t).map((r) => r[2]));
    if (Math.abs(raw[2] - most) < near) return Math.floor(most * 1000) / 1000;
  }
  return Math.max(0, z);
}
