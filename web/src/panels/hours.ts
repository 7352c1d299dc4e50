// The hour: a strip to scrub the time of day with, and what it rests on.
import { daylightStops, sunAltitude } from "../model/hour.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { clock } from "../units/measures.ts";
import { signed } from "../units/stops.ts";
import { button } from "./button.ts";

/** What is said where something is not of the hour that the strip shows; empty where nothing is to be said. */
export const ofFileHour = (p: Page): string => {
  const h = p.view?.hours;
  return h && p.hour !== null ? `for ${clock(h.at, p.units)}, the hour in the file, not ${clock(p.hour, p.units)}` : "";
};

export function hourStrip(p: Page, drawing: Markup): Markup {
  const h = p.view?.hours;
  if (!h) return m``;
  const minute = p.hour ?? h.at, stops = daylightStops(h, minute), next = daylightStops(h, Math.min(h.to, minute + 10)) - stops, alt = sunAltitude(h, minute);
  const say = (x: number): string => clock(x, p.units), sun = `sun ${Math.abs(alt).toFixed(1)}° ${alt < 0 ? "under" : "up"}`;
  const fall = Math.abs(next) < 0.05 ? "daylight is steady" : `daylight ${next < 0 ? "loses" : "gains"} a stop in ${Math.max(1, Math.round(10 / Math.abs(next)))} min`;
  const other = p.hour === null ? "" : m`, <b>${signed(stops)} stops</b> against ${button(p, "hour", say(h.at), { cls: "lnk", title: "back to the hour in the file", label: `back to ${say(h.at)}` })}`;
  const lines = m`<p class="hw"><span>${sun}${other}</span><span>${fall}, ${button(p, "assumes", "overcast scale", { cls: "lnk", on: p.assumes, title: "what it assumes" })}</span></p>`;
  const said = p.assumes ? m`<div class="assumes" role="note" data-key="assumes-text">${h.says.map((t) => m`<p>${t}</p>`)}<p>Readings, ladder, picture, contours, spots and wishes follow the hour shown here. Checks and ways out are for ${say(h.at)}, the hour in the file.</p></div>` : "";
  return m`<div class="hl"><input type="text" data-act="clock" data-key="clock" data-pick="" class="${p.units.clock === 12 ? "h12" : ""}" value="${say(minute)}" aria-label="Time of day shown">${lines}</div>
<div class="ht"><svg id="hoursvg" aria-hidden="true">${drawing}</svg><input type="range" min="${h.from}" max="${h.to}" step="1" value="${minute}" data-act="scrub" data-key="scrub" aria-label="Time of day" aria-valuetext="${say(minute)}, daylight ${signed(stops)} stops"></div>${said}`;
}
