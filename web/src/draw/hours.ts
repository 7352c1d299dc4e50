// The hour strip: sun against the horizon, one stroke for each stop that daylight loses, the day's fixed times.
import { stopMinutes, sunAltitude } from "../model/hour.ts";
import type { HoursView } from "../model/wire.ts";
import { m, type Markup } from "../units/markup.ts";
import { clock, type Units } from "../units/measures.ts";
import { dot } from "./place.ts";

/** Where a minute stands, pixels from the left. */
export const xOf = (h: HoursView, w: number, minute: number): number =>
  8 + ((minute - h.from) / Math.max(1, h.to - h.from)) * (w - 16);

export function hours(h: HoursView, w: number, height: number, minute: number, colour: string, u: Units): Markup {
  const X = (t: number) => dot(xOf(h, w, t)), base = height - 18, top = 16, highest = Math.max(6, ...h.sun),
    lowest = Math.min(-6, ...h.sun);
  const Y = (alt: number) => dot(top + ((highest - alt) / (highest - lowest)) * (base - top - 14));
  const sun = h.sun.map((a, i) => `${X(h.from + i * h.step)} ${Y(a)}`).join("L");
  const every = (h.to - h.from) / 30 > (w - 16) / (u.clock === 12 ? 62 : 46) ? 60 : 30, marks: number[] = [];
  for (let t = Math.ceil(h.from / every) * every; t <= h.to; t += every) marks.push(t);
  const blocks = h.marks.filter((x) => x.setup), edges = h.marks.filter((x) => !x.setup);
  // A name stands where it ends before the next mark; what has no room is left out, and short by its title.
  const order = [...blocks].sort((a, b) => a.minute - b.minute);
  const names = order.map((x, i) => {
    const at = X(x.minute), next = order[i + 1], end = next ? X(next.minute) : w - 4,
      fits = Math.floor((end - at - 10) / 5.9);
    const text = x.name.length <= fits ? x.name : fits >= 4 ? `${x.name.slice(0, fits - 1).trimEnd()}…` : "";
    return m`<path class="hk" d="M${at} ${base - 13}V${base}"><title>${x.name} ${clock(x.minute, u)}</title></path>
      ${text ? m`<text class="lab" x="${at + 4}" y="${base - 4}">${text}</text>` : ""}`;
  });
  const horizon = Y(0), now = X(minute), y = Y(sunAltitude(h, minute)), tall = height >= 64;
  const curve = tall ? m`<path class="hl0" d="M8 ${horizon}H${w - 8}"/><text class="lab" x="${w - 10}"
    y="${horizon - 3}" text-anchor="end">horizon</text>
<path class="hsun" d="M${sun}"/><path class="hdot" d="M${now} ${y - 5}l5 5l-5 5l-5 -5z"/>` : "";
  return m`${curve}
${stopMinutes(h).map((t) => m`<path class="hstop" stroke="${colour}" d="M${X(t)} 3V12"/>`)}${edges.map((x) =>
  m`<path class="hedge" d="M${X(x.minute)} ${base - 13}V${base}"><title>${x.name} ${clock(x.minute, u)}</title>
    </path>`)}${names}
<path class="haxis" d="M8 ${base}H${w - 8}"/>
  ${marks.map((t) => m`<path class="haxis" d="M${X(t)} ${base}v4"/><text class="lab" x="${X(t)}" y="${height - 4}"
    text-anchor="${t - h.from < every / 3 ? "start" : h.to - t < every / 3 ? "end" : "middle"}">${clock(t, u)}</text>`)}
<path class="hfile" d="M${X(h.at)} 0V${base}"/><path class="hnow" d="M${now} 0V${base}"/>`;
}
