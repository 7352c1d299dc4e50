// The outline of the room when its corners and walls are moved: pure geometry in metres.
type P = readonly [number, number];

const round = (v: number): number => Math.round(v * 1000) / 1000;

/** Length of wall i, from corner i to the next. */
export function wallLength(o: readonly P[], i: number): number {
  const a = o[i % o.length], b = o[(i + 1) % o.length];
  return a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
}

/** Where the lines through a along u and through b along v meet; null where they run alike. */
function meet(a: P, u: P, b: P, v: P): P | null {
  const det = u[0] * -v[1] + v[0] * u[1];
  if (Math.abs(det) < 1e-6) return null;
  const dx = b[0] - a[0], dy = b[1] - a[1], s = (dx * -v[1] + v[0] * dy) / det;
  return [a[0] + u[0] * s, a[1] + u[1] * s];
}

/**
 * Moves wall i along its own normal by d, to the outside where d is
 * over 0; the walls beside it keep their directions.
 */
export function moveWall(o: readonly P[], i: number, d: number): [number, number][] {
  const n = o.length, at = (k: number): P => o[(k + n) % n] ?? [0, 0];
  const a = at(i), b = at(i + 1), l = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const u: P = [(b[0] - a[0]) / l, (b[1] - a[1]) / l], off: P = [u[1] * d, -u[0] * d];
  const from: P = [a[0] + off[0], a[1] + off[1]];
  const side = (k: number, corner: P): P => {
    const p = at(k), q = at(k + 1);
    return meet(from, u, p, [q[0] - p[0], q[1] - p[1]]) ?? [corner[0] + off[0], corner[1] + off[1]];
  };
  const out = o.map((c): [number, number] => [c[0], c[1]]);
  const na = side(i - 1, a), nb = side(i + 1, b);
  out[i % n] = [round(na[0]), round(na[1])];
  out[(i + 1) % n] = [round(nb[0]), round(nb[1])];
  return out;
}

/** Gives wall i a length by moving the wall behind it; the corner at its start stays. */
export function setLength(o: readonly P[], i: number, length: number): [number, number][] {
  const n = o.length, a = o[i % n], b = o[(i + 1) % n], c = o[(i + 2) % n];
  if (!a || !b || !c || !(length > 0)) return o.map((p) => [p[0], p[1]]);
  const l = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, u: P = [(b[0] - a[0]) / l, (b[1] - a[1]) / l];
  const w = Math.hypot(c[0] - b[0], c[1] - b[1]) || 1, v: P = [(c[0] - b[0]) / w, (c[1] - b[1]) / w];
  // How far the next wall must go along its own normal for its start to go this far along ours.
  const across = u[0] * v[1] - u[1] * v[0];
  return Math.abs(across) < 1e-6 ? o.map((p) => [p[0], p[1]]) : moveWall(o, (i + 1) % n, (length - l) * across);
}

/** Moves corner i to a place, level with its neighbours' lines where it comes near them. */
export function moveCorner(o: readonly P[], i: number, to: P, near: number): [number, number][] {
  const n = o.length, beside = [o[(i + n - 1) % n], o[(i + 1) % n]];
  const line = (k: 0 | 1): number => {
    const hit = beside.find((q) => q && Math.abs(q[k] - to[k]) < near);
    return round(hit ? hit[k] : to[k]);
  };
  return o.map((c, k): [number, number] => (k === i ? [line(0), line(1)] : [c[0], c[1]]));
}

/** A new corner in the middle of wall i. */
export function addCorner(o: readonly P[], i: number): [number, number][] {
  const a = o[i], b = o[(i + 1) % o.length];
  const out = o.map((c): [number, number] => [c[0], c[1]]);
  if (a && b) out.splice(i + 1, 0, [round((a[0] + b[0]) / 2), round((a[1] + b[1]) / 2)]);
  return out;
}

/** Area inside, m²: over 0 where the corners run anticlockwise. */
export const area = (o: readonly P[]): number =>
  o.reduce((s, a, i) => { const b = o[(i + 1) % o.length] ?? a; return s + (a[0] * b[1] - b[0] * a[1]) / 2; }, 0);

/** The wall nearest to a place: number from 0, how far, where along it, its direction, the place on it. */
export function nearestWall(o: readonly P[], at: P): { i: number; far: number; along: number; len: number;
  ux: number; uy: number; x: number; y: number } | null {
  let best: ReturnType<typeof nearestWall> = null;
  o.forEach((a, i) => {
    const b = o[(i + 1) % o.length] ?? a, len = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (len < 0.05) return;
    const ux = (b[0] - a[0]) / len, uy = (b[1] - a[1]) / len,
      along = Math.max(0, Math.min(len, (at[0] - a[0]) * ux + (at[1] - a[1]) * uy));
    const x = a[0] + ux * along, y = a[1] + uy * along, far = Math.hypot(at[0] - x, at[1] - y);
    if (!best || far < best.far) best = { i, far, along, len, ux, uy, x, y };
  });
  return best;
}

/** The next corner of walls that are drawn: square to the last one where it is nearly so, and level with the first. */
export function squared(s: readonly P[], at: P): [number, number] {
  const last = s[s.length - 1], first = s[0];
  let [x, y] = at;
  if (last) {
    const dx = Math.abs(x - last[0]), dy = Math.abs(y - last[1]);
    if (dx < 0.3 * dy) x = last[0];
    else if (dy < 0.3 * dx) y = last[1];
  }
  if (first && s.length > 1) {
    if (Math.abs(x - first[0]) < 0.2 && x !== last?.[0]) x = first[0];
    if (Math.abs(y - first[1]) < 0.2 && y !== last?.[1]) y = first[1];
  }
  return [round(x), round(y)];
}
