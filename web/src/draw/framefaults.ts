// What was found, drawn over the picture beside what it concerns: at the thing where it shows, at the
// frame's edge towards it where it stands outside, in the corner where it is the camera's or the sitter's.
import type { SetupView } from "../model/wire.ts";
import { m, r1, type Markup } from "../units/markup.ts";
import { clamp } from "../units/stops.ts";
import { common, fit, type Box } from "./frame.ts";
import { widthOf } from "./labels.ts";

const dot3 = (a: readonly number[], b: readonly number[]): number =>
  (a[0] ?? 0) * (b[0] ?? 0) + (a[1] ?? 0) * (b[1] ?? 0) + (a[2] ?? 0) * (b[2] ?? 0);

/** Where a place comes out in the picture, shares from its top left; null: behind the camera. */
export function inPicture(v: SetupView, at: readonly number[]): [number, number] | null {
  const c = v.camera;
  if (!c) return null;
  const d = [0, 1, 2].map((i) => (at[i] ?? 0) - (c.at[i] ?? 0)), z = dot3(d, c.axis);
  if (z < 0.05) return null;
  return [0.5 + (dot3(d, c.right) / z) * (c.image / c.sensor_width),
    0.5 - (dot3(d, c.up) / z) * (c.image / c.sensor_height)];
}

/** A line's height, pixels. */
const high = 20;

/**
 * Where a line of width w stands: near its thing, where it covers least of what is there; null where
 * it would cover a good part of that anywhere.
 */
function placeOf(w: number, x: number, y: number, box: Box, taken: readonly Box[]): Box | null {
  let best: Box | null = null, least = Infinity;
  const most = box.x + box.w - w - 4, low = box.y + box.h - high - 4;
  for (const bx of [clamp(x - w / 2, box.x + 4, most), box.x + 4, most]) {
    for (let k = 0; k * high < box.h; k++) {
      for (const by of [y + 10 + k * high, y - 10 - (k + 1) * high]) {
        if (by < box.y + 4 || by > low) continue;
        const b: Box = { x: bx, y: by, w, h: high }, over = taken.reduce((t, q) => t + common(b, q), 0),
          cost = over + 4 * Math.abs(by - y) + Math.abs(bx + w / 2 - x);
        if (over < 0.1 * w * high && cost < least) { least = cost; best = b; }
      }
    }
  }
  return best;
}

/**
 * faults are short words by path; of the camera, the sitter and the setup itself too. covered is what
 * they keep off: the face, the points' names; with a mount they stand there, under the picture. What has
 * no room is counted in a last line.
 */
export function frameFaults(v: SetupView, box: Box, faults: ReadonlyMap<string, string>,
  covered: readonly Box[], mount: Box | null = null): Markup {
  const rows: Markup[] = [], taken = [...covered],
    most = mount ? clamp(Math.floor((mount.h - 8) / high) - 1, 1, 6) : clamp(Math.floor(box.h / 100), 1, 6);
  let more = 0;
  const line = (path: string, words: string, x: number, y: number, lead: Markup | string): void => {
    const w = Math.min(box.w * (mount ? 1 : 0.8), widthOf(words, 12) + 12),
      b = rows.length >= most ? null : mount ? { x: mount.x, y: mount.y + 6 + rows.length * high, w, h: high }
        : placeOf(w, x, y, box, taken);
    if (!b) more++;
    else taken.push(b);
    rows.push(m`<g class="ff" data-fault="${path}">${lead}${b ? m`<rect class="plate" x="${r1(b.x)}" y="${r1(b.y)}"
      width="${r1(w)}" height="${high - 2}"/><text x="${r1(b.x + 6)}" y="${r1(b.y + 13)}">${fit(words, w - 8,
      12, false)}</text>` : ""}</g>`);
  };
  const corner = [box.x + 8, box.y + box.h - 4] as const;
  for (const [path, text] of faults) {
    const thing = v.lights.find((l) => l.path === path) ?? v.panels.find((q) => q.path === path);
    const at = thing?.at && inPicture(v, thing.at), words = `${thing ? `${thing.name}: ` : ""}${text}`;
    if (at) {
      const ex = clamp(box.x + at[0] * box.w, box.x + 4, box.x + box.w - 4),
        ey = clamp(box.y + at[1] * box.h, box.y + 4, box.y + box.h - 4),
        d = `M${r1(ex - 5)} ${r1(ey)}h10M${r1(ex)} ${r1(ey - 5)}v10`;
      line(path, words, ex, ey, m`<path class="under" d="${d}"/><path class="over" d="${d}"/>`);
    } else if (!thing) line(path, words, ...corner, ""); // behind the camera: the plan has it
  }
  const words = `${more} more: see Checks`, w = widthOf(words, 12) + 12, x = mount ? mount.x : box.x + box.w - w - 8,
    y = mount ? mount.y + 6 + most * high : box.y + box.h - high - 8;
  return m`${rows}${more ? m`<g class="ff"><rect class="plate" x="${r1(x)}" y="${r1(y)}" width="${r1(w)}"
    height="${high - 2}"/><text x="${r1(x + 6)}" y="${r1(y + 13)}">${words}</text></g>` : ""}`;
}
