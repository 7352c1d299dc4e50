// What is said of the state: saved or why not, what is being computed and how long, what is stale and why.
import { mistakes, type Page } from "../state/store.ts";
import type { ReadingsView } from "../model/wire.ts";
import { m, r1, type Markup } from "../units/markup.ts";

const two = (n: number): string => String(n).padStart(2, "0");

/** A moment as a clock shows it. */
export function timeOf(ms: number): string {
  const d = new Date(ms);
  return `${two(d.getHours())}:${two(d.getMinutes())}:${two(d.getSeconds())}`;
}

/** Saved, saving, not saved and why, or differing on disk: one of them always, and the true one. */
export function savedSay(p: Page): Markup {
  const s = p.state, k = s?.keeping;
  if (!s || !k) return m`${p.link === "lost" ? m`<b>no connection</b>` : "opening"}`;
  if (p.link === "lost") return m`<b>not saved:</b> no connection${p.waiting ? `, ${p.waiting} waiting here` : ""}`;
  const memory = k.memory ? m` <b>${k.memory}</b>` : "";
  if (k.word === "differs") {
    return m`<b>the file on disk differs:</b> <button class="lnk" data-act="both" data-key="sv-both">see
      both</button>${memory}`;
  }
  if (p.clash) return m`<b>not saved:</b> the lines that you type in were changed meanwhile; say which stand`;
  if (p.textDirty || p.waiting > 0 || p.pending) return m`saving`;
  if (k.word === "saving") return m`saving${memory}`;
  if (k.word === "saved") return m`saved${p.savedAt ? m` <b>${timeOf(p.savedAt)}</b>` : ""}`;
  if (s.draft && k.reason === "demonstration") return m`<b>not saved:</b> the text has mistakes; the last text without
      stays in force`;
  if (k.reason === "demonstration") {
    return m`demonstration, <b>in memory</b> <button class="lnk" data-act="saveas" data-key="sv-as">save it under a
      name</button>${memory}`;
  }
  const back = k.reason === "gone"
    ? m` <button class="lnk" data-act="writeback" data-key="sv-back">write it back</button>` : "";
  return m`<b>not saved:</b> ${k.why.replace(/^not saved: /, "")}${back}${memory}`;
}

/** Why what is shown is not of the plan as it stands; empty: it is. */
export function staleWhy(p: Page): string {
  if (mistakes(p).length) return p.goodAt ? `of ${timeOf(p.goodAt)}, before the mistake`
      : "of the plan before the mistake";
  if (p.link === "lost") return "the last that was known: no connection";
  if (p.fault) return "the last good picture";
  return "";
}

/** Samples a pixel that a picture is brought to, by the program. */
const whole = 128;

/** How well the readings are known: settling, or what the worst point came to where time ended them. */
export function readingsSay(r: ReadingsView): string {
  if (r.word === "first") return ", readings settling";
  const worst = Math.max(0, ...r.readings.points.map((q) => Math.max(q.error_stops, q.stops_error_stops)));
  return worst <= r.error_asked_stops * 1.001 ? "" : `, readings to ${worst.toFixed(2)} st only`;
}

/** What is being computed and how long it will take about. */
export function progressSay(p: Page): Markup {
  const f = p.film, v = p.view;
  if (!v) return m``;
  if (!v.camera) return m`no camera, no picture`;
  if (!v.lights.some((l) => l.layer >= 0)) return m`no light is on`;
  const why = staleWhy(p);
  if (why && f) return m`picture <b>${why}</b>`;
  const reads = p.readings ? readingsSay(p.readings) : ", readings in work";
  if (!f) return m`first picture in work${reads}`;
  if (p.filmOld) return m`picture <b>of before the last change</b>, the next in work${reads}`;
  if (f.head.last) return m`picture <b>fine</b>, ${f.head.samples} samples${reads}`;
  const done = f.head.samples, past = p.filmFrom ? (Date.now() - p.filmFrom) / 1000 : 0,
    left = done > 0 && past > 0.5 ? (past * (whole - done)) / done : 0;
  const fine = left <= 0.5 ? "" : left < 90 ? `, fine in about ${Math.ceil(left)} s` : left < 600
    ? `, fine in about ${Math.ceil(left / 60)} min` : ", fine in over 10 min";
  return m`picture <b>${done} of ${whole}</b> samples${fine}<span class="pg">
    <i data-css="width:${r1((100 * Math.log2(1 + done)) / Math.log2(1 + whole))}%"></i></span>${reads}`;
}
