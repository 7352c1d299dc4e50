// The hour: a strip to scrub the time of day with, and what it rests on.
import { againstFile, sunAltitude, sunComesIn } from "../model/hour.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { clock } from "../units/measures.ts";
import { signed } from "../units/stops.ts";
import { button } from "./button.ts";

/** What is said beside what is of another hour than the file's; empty where nothing is to be said. */
export const otherHour = (p: Page): string => {
  const h = p.view?.hours;
  return h && p.hour !== null ? `at ${clock(p.hour, p.units)}, not ${clock(h.at, p.units)} as in the file` : "";
};

export function hourStrip(p: Page, drawing: Markup): Markup {
  const h = p.view?.hours;
  if (!h) return m``;
  const minute = p.hour ?? h.at, stops = againstFile(h, minute),
    next = againstFile(h, Math.min(h.to, minute + 10)) - stops, alt = sunAltitude(h, minute);
  const say = (x: number): string => clock(x, p.units), beam = sunComesIn(h, minute) ? ", it comes in" : "",
    sun = `sun ${Math.abs(alt).toFixed(1)}° ${alt < 0 ? "under" : "up"}${beam}`;
  const fall = Math.abs(next) < 0.05 ? "daylight is steady"
    : `daylight ${next < 0 ? "loses" : "gains"} a stop in ${Math.max(1, Math.round(10 / Math.abs(next)))} min`;
  const other = p.hour === null ? ""
    : m`, <b>${signed(stops)} stops</b> against ${button(p, "hour", say(h.at),
      { cls: "lnk", title: "back to the hour in the file", label: `back to ${say(h.at)}` })}`;
  const lines = m`<p class="hw"><span>${sun}${other}</span>
    <span>${fall}, ${button(p, "assumes", "by sky and sun", { cls: "lnk", on: p.assumes, title: "what it assumes" })}
    </span></p>`;
  const said = p.assumes ? m`<div class="assumes" role="note" data-key="assumes-text">
    ${h.says.map((t) => m`<p>${t}</p>`)}<p>Everything of this setup is of the hour shown here, in all open pages:
    readings, picture, contours, checks, balance and ways out. The file stays as it is.</p></div>` : "";
  return m`<div class="hl"><input type="text" data-act="clock" data-key="clock" data-pick=""
    class="${p.units.clock === 12 ? "h12" : ""}" value="${say(minute)}" aria-label="Time of day shown">${lines}</div>
<div class="ht"><svg id="hoursvg" aria-hidden="true">${drawing}</svg><input type="range" min="${h.from}" max="${h.to}"
  step="1" value="${minute}" data-shown="${h.shown}" data-act="scrub" data-key="scrub" aria-label="Time of day"
  aria-valuetext="${say(minute)}, daylight ${signed(stops)} stops"></div>${said}`;
}
