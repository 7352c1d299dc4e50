// The light over the place, mixed here: weights change, nothing is asked again.
import type { FieldsView, SetupView } from "./wire.ts";

/** A grid of values: cell (i, j) at (x + i·dx, y + j·dy), along x first. */
export interface Grid { x: number; y: number; dx: number; dy: number; nx: number; ny: number; v: Float64Array }

/** No light, in stops: far below anything drawn, so that lines round the dark stay where they are. */
export const nothing = -60;

const sent = -32768;

/** The sum of all layers in stops against 1 lx·s; weight is by layer. */
export function mixed(f: FieldsView, weight: readonly number[]): Grid {
  const v = new Float64Array(f.nx * f.ny);
  f.layers.forEach((l, n) => {
    const w = weight[n] ?? 0;
    if (!(w > 0)) return;
    for (let i = 0; i < v.length; i++) {
      const s = l.stops[i] ?? sent;
      if (s > sent) v[i] = (v[i] ?? 0) + w * 2 ** (s / 100);
    }
  });
  for (let i = 0; i < v.length; i++) v[i] = Math.max(nothing, Math.log2(v[i] ?? 0));
  return { x: f.x, y: f.y, dx: f.dx, dy: f.dy, nx: f.nx, ny: f.ny, v };
}

/** What fields rest on: places and parts, not settings; a change of it makes them old. */
export function fieldsKey(v: SetupView, z: number, meter: string): string {
  return JSON.stringify([v.index, z.toFixed(2), meter, v.camera && [v.camera.at], v.panels, v.objects, v.room,
    v.haze, v.sitter?.at,
    v.lights.map((l) => [l.name, l.layer, l.at, l.aim, l.head, l.modifier, l.grid, l.through, l.bodies,
      l.colour, l.gels])]);
}
