// Lines of equal light: marching squares over a grid, joined to as few lines as there are.
import type { Grid } from "../model/fields.ts";

export type Line = { points: [number, number][]; closed: boolean };

/**
 * The lines where the grid has the level, in the grid's own units (metres). Between neighbours
 * values run straight; a saddle is settled by the mean of its corners.
 */
export function contours(g: Grid, level: number): Line[] {
  const { nx, ny, v } = g, at = (i: number, j: number): number => (v[j * nx + i] ?? 0) - level;
  // An edge is named by its lower left end: 2·cell along x, 2·cell + 1 along y.
  const across = (e: number): [number, number] => {
    const n = e >> 1, i = n % nx, j = Math.floor(n / nx), a = at(i, j), b = e & 1 ? at(i, j + 1) : at(i + 1, j),
      f = a === b ? 0.5 : a / (a - b);
    return [g.x + (i + (e & 1 ? 0 : f)) * g.dx, g.y + (j + (e & 1 ? f : 0)) * g.dy];
  };
  const next = new Map<number, number[]>();
  const join = (a: number, b: number): void => {
    (next.get(a) ?? next.set(a, []).get(a))?.push(b);
    (next.get(b) ?? next.set(b, []).get(b))?.push(a);
  };
  for (let j = 0; j + 1 < ny; j++) {
    for (let i = 0; i + 1 < nx; i++) {
      const a = at(i, j), b = at(i + 1, j), c = at(i + 1, j + 1), d = at(i, j + 1);
      const n = j * nx + i, low = 2 * n, right = 2 * (n + 1) + 1, high = 2 * (n + nx), left = 2 * n + 1;
      const code = (a >= 0 ? 1 : 0) | (b >= 0 ? 2 : 0) | (c >= 0 ? 4 : 0) | (d >= 0 ? 8 : 0);
      const middle = a + b + c + d >= 0;
      switch (code) {
        case 1: case 14: join(left, low); break;
        case 2: case 13: join(low, right); break;
        case 4: case 11: join(right, high); break;
        case 8: case 7: join(high, left); break;
        case 3: case 12: join(left, right); break;
        case 6: case 9: join(low, high); break;
        case 5: if (middle) { join(left, high); join(low, right); } else { join(left, low); join(right, high); } break;
        case 10: if (middle) { join(left, low); join(right, high); } else { join(left, high); join(low, right); } break;
      }
    }
  }
  // Lines that end at the border first, then rings.
  const used = new Set<number>(), out: Line[] = [];
  const walk = (from: number): number[] => {
    const line = [from];
    used.add(from);
    for (let e: number | undefined = from; e !== undefined; ) {
      const on: number | undefined = (next.get(e) ?? []).find((x) => !used.has(x));
      if (on !== undefined) { line.push(on); used.add(on); }
      e = on;
    }
    return line;
  };
  for (const [e, to] of next) if (to.length === 1 && !used.has(e))
    out.push({ points: walk(e).map(across), closed: false });
  for (const e of next.keys()) if (!used.has(e)) out.push({ points: walk(e).map(across), closed: true });
  return out;
}

/** Length of a line, in the grid's units. */
export function lengthOf(l: Line): number {
  let sum = 0;
  for (let i = 1; i < l.points.length; i++) sum += Math.hypot((l.points[i]?.[0] ?? 0) - (l.points[i - 1]?.[0] ?? 0),
      (l.points[i]?.[1] ?? 0) - (l.points[i - 1]?.[1] ?? 0));
  return sum;
}
