// What was found, drawn over the picture beside what it concerns: at the thing where it shows, at the
// frame's edge towards it where it stands outside, in the corner where it is the camera's or the sitter's.
import type { SetupView } from "../model/wire.ts";
import { m, r1, type Markup } from "../units/markup.ts";
import { clamp } from "../units/stops.ts";
import { fit, type Box } from "./frame.ts";
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

/** At most this many at once: more hide the picture. */
const most = 6;

/** faults are short words by path; of the camera, the sitter and the setup itself too. */
export function frameFaults(v: SetupView, box: Box, faults: ReadonlyMap<string, string>): Markup {
  const high = 20, rows: Markup[] = [];
  let corner = 0;
  const taken: number[] = [];
  for (const [path, text] of [...faults].slice(0, most)) {
    const thing = v.lights.find((l) => l.path === path) ?? v.panels.find((q) => q.path === path);
    const at = thing?.at && inPicture(v, thing.at), words = `${thing ? `${thing.name}: ` : ""}${text}`;
    const w = Math.min(box.w * 0.8, widthOf(words, 12, true) + 12);
    let x = box.x + 8, y = box.y + box.h - 8 - high * (corner + 1), lead: Markup | string = "";
    if (at) {
      const tx = box.x + at[0] * box.w, ty = box.y + at[1] * box.h,
        ex = clamp(tx, box.x + 4, box.x + box.w - 4), ey = clamp(ty, box.y + 4, box.y + box.h - 4);
      x = clamp(ex - w / 2, box.x + 4, box.x + box.w - w - 4);
      y = clamp(ey + 10, box.y + 4, box.y + box.h - high - 4);
      while (taken.some((t) => Math.abs(t - y) < high) && y > box.y + high) y -= high;
      taken.push(y);
      const line = `M${r1(ex - 5)} ${r1(ey)}h10M${r1(ex)} ${r1(ey - 5)}v10`;
      lead = m`<path class="under" d="${line}"/><path class="over" d="${line}"/>`;
    } else if (thing) continue; // behind the camera: the plan has it
    else corner++;
    rows.push(m`<g class="ff" data-fault="${path}">${lead}<rect class="plate" x="${r1(x)}" y="${r1(y)}" width="${r1(w)}"
      height="${high - 2}"/><text x="${r1(x + 6)}" y="${r1(y + 13)}">${fit(words, w - 8, 12)}</text></g>`);
  }
  return m`${rows}`;
}
