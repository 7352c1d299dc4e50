// One scale for plan and section: metres to pixels; one above the other with x
// shared, or beside each other where it is wide and low.
import type { SetupView } from "../model/wire.ts";

export interface Place {
  w: number;
  h: number;
  s: number;
  x0: number;
  /** Of the section's x = 0. */
  xSec: number;
  /** Of the plan's y = 0 and of the section's z = 0. */
  yPlan: number;
  ySec: number;
  lo: [number, number];
  hi: [number, number];
  ceiling: number;
  /** How far it is shifted. */
  zx: number;
  zy: number;
}

export type V3 = readonly [number, number, number];

export function placeOf(v: SetupView, w: number, h: number, zoom: { x: number; y: number; k: number }): Place {
  let lo: [number, number] = [Infinity, Infinity], hi: [number, number] = [-Infinity, -Infinity];
  const grow = (p: readonly number[]) => {
    lo = [Math.min(lo[0], p[0] ?? 0), Math.min(lo[1], p[1] ?? 0)];
    hi = [Math.max(hi[0], p[0] ?? 0), Math.max(hi[1], p[1] ?? 0)];
  };
  for (const c of v.room.outline) grow(c);
  if (v.room.outline.length === 0) {
    for (const l of v.lights) if (l.at) grow(l.at);
    if (v.sitter) grow(v.sitter.at);
    if (v.camera) grow(v.camera.at);
    if (lo[0] === Infinity) { lo = [-2, -2]; hi = [2, 2]; }
    lo = [lo[0] - 1, lo[1] - 1];
    hi = [hi[0] + 1, hi[1] + 1];
  }
  const ceiling = v.room.ceiling > 0 ? Math.max(v.room.ceiling, ...(v.room.ceilings ?? []).map((z) => z.height))
    : 3;
  const across = hi[0] - lo[0], deep = hi[1] - lo[1];
  const beside = besideEachOther(w, h, across, deep, ceiling), small = h < 260, left = small ? 30 : 43,
    air = 64; // for the dimensions over and under the plan
  const wide = beside ? (w - 3 * left) / 2 : w - 2 * left, high = beside ? h - air - 8 : h - 108;
  const s0 = Math.max(4, Math.min(wide / across, high / (beside ? Math.max(deep, ceiling) : deep + ceiling))),
    s = s0 * zoom.k;
  if (beside) {
    const gap = (w - 2 * across * s0) / 3, x = gap + 6 - lo[0] * s + zoom.x,
      foot = h - air / 2 - 2 - Math.max(0, (high - deep * s0) / 2);
    const yPlan = foot + lo[1] * s + zoom.y + (zoom.k > 1 ? (s - s0) * deep : 0);
    return { w, h, s, x0: x, xSec: x + across * s + gap, yPlan,
      ySec: h - air / 2 - 2 - Math.max(0, (high - Math.max(ceiling, deep) * s0) / 2) + zoom.y, lo, hi, ceiling,
      zx: zoom.x, zy: zoom.y };
  }
  const x0 = (w - across * s0) / 2 + 4 - lo[0] * s + zoom.x;
  const gap = (h - 108 - (deep + ceiling) * s0) / 2;
  const top = 32 + Math.max(0, gap) + zoom.y;
  const yPlan = top + hi[1] * s;
  return { w, h, s, x0, xSec: x0, yPlan, ySec: top + deep * s + 44 + ceiling * s, lo, hi, ceiling, zx: zoom.x,
    zy: zoom.y };
}

/** Whether the two drawings come out larger beside each other than one above the other. */
export const besideEachOther = (w: number, h: number, across: number, deep: number, ceiling: number): boolean =>
  Math.min((w - 90) / 2 / across, (h - 40) / Math.max(deep, ceiling)) > Math.min((w - 86) / across,
    (h - 108) / (deep + ceiling));

export const px = (p: Place, x: number): number => p.x0 + x * p.s;
export const py = (p: Place, y: number): number => p.yPlan - y * p.s;
/** x in the section. */
export const sx = (p: Place, x: number): number => p.xSec + x * p.s;
export const pz = (p: Place, z: number): number => p.ySec - z * p.s;

/** A number to a tenth of a pixel. */
export const dot = (v: number): number => Math.round(v * 10) / 10;

/** Corners of the face of a body, for either view. */
export function faceOf(b: { at: V3; side: V3; up: V3; width: number; height: number; shape?: string; normal: V3;
  depth?: number }): V3[] {
  const at = (u: number, v: number, d = 0): V3 =>
    [0, 1, 2].map((i) => (b.at[i] ?? 0) + (b.side[i] ?? 0) * u + (b.up[i] ?? 0) * v -
      (b.normal[i] ?? 0) * d) as unknown as V3;
  const w = Math.max(b.width, 0.05) / 2, h = Math.max(b.height, 0.05) / 2;
  if (b.shape === "disc" || b.shape === "sphere" || b.shape === "point") return Array.from({ length: 32 },
      (_, i) => at(Math.cos((i * Math.PI) / 16) * w, Math.sin((i * Math.PI) / 16) * h));
  return [at(w, h), at(w, -h), at(-w, -h), at(-w, h)];
}

/** Outline of points as seen from above (or from the side): their convex hull. */
export function hull(points: readonly (readonly [number, number])[]): [number, number][] {
  const p = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const cross = (o: readonly number[], a: readonly number[], b: readonly number[]) =>
    ((a[0] ?? 0) - (o[0] ?? 0)) * ((b[1] ?? 0) - (o[1] ?? 0)) - ((a[1] ?? 0) - (o[1] ?? 0)) *
      ((b[0] ?? 0) - (o[0] ?? 0));
  const half = (list: readonly (readonly [number, number])[]) => {
    const out: (readonly [number, number])[] = [];
    for (const q of list) {
      while (out.length >= 2 && cross(out[out.length - 2] ?? [0, 0], out[out.length - 1] ?? [0, 0], q) <= 0) out.pop();
      out.push(q);
    }
    out.pop();
    return out;
  };
  return [...half(p), ...half([...p].reverse())].map((q) => [q[0], q[1]]);
}

export const poly = (pts: readonly (readonly [number, number])[]): string =>
  `M${pts.map((q) => `${dot(q[0])} ${dot(q[1])}`).join("L")}Z`;
