// The hour: a strip to scrub the time of day with, and what it rests on.
import { daylightStops, sunAltitude } from "../model/hour.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { clock } from "../units/measures.ts";
import { signed } from "../units/stops.ts";

/** What is said where something is not of the hour that the strip shows; empty where nothing is to be said. */
export const ofFileHour = (p: Page): string => {
  const h = p.view?.hours;
  return h && p.hour !== null ? `for ${clock(h.at, p.units)}, the hour in the file, not ${clock(p.hour, p.units)}` : "";
};

export function hourStrip(p: Page, drawing: Markup): Markup {
  const h = p.view?.hours;
  if (!h) return m``;
  const minute = p.hour ?? h.at, stops = daylightStops(h, minute), next = daylightStops(h, Math.min(h.to, minute + 10)) - stops, alt = sunAltitude(h, minute), say = (x: number) => clock(x, p.units);
  const fall = Math.abs(next) < 0.05 ? "steady" : `${next < 0 ? "losing" : "gaining"} a stop in ${Math.max(1, Math.round(10 / Math.abs(next)))} min`;
  return m`<div class="hl"><input type="text" data-act="clock" data-key="clock" class="${p.units.clock === 12 ? "h12" : ""}" value="${say(minute)}" aria-label="Time of day shown"><span class="cap">sun ${signed(alt, 1)}°</span>${p.hour === null ? m`<span class="cap">file\u2019s hour</span>` : m`<button data-act="hour" data-arg="" data-key="hour-file">back to ${say(h.at)}</button>`}<div class="hw"><b>daylight ${signed(stops)} st</b> <span>${fall}</span></div></div>
<div class="ht"><svg id="hoursvg" aria-hidden="true">${drawing}</svg><input type="range" min="${h.from}" max="${h.to}" step="1" value="${minute}" data-act="scrub" data-key="scrub" aria-label="Time of day" aria-valuetext="${say(minute)}, daylight ${signed(stops)} stops"></div>
<div class="hr"><button data-act="assumes" data-key="assumes" aria-expanded="${p.assumes ? "true" : "false"}">Overcast scale</button><span>what it assumes</span></div>
${p.assumes ? m`<div class="assumes" role="note" data-key="assumes-text">${h.says.map((t) => m`<p>${t}</p>`)}<p>Readings, ladder, picture, contours, spots and rings follow the hour shown here. Checks and ways out are for ${say(h.at)}, the hour in the file.</p></div>` : ""}`;
}
