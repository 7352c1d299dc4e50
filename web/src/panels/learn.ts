// What readings taught: the readings, what follows from them, what does not fit, what to read next.
import { readPointOf } from "../actions/kit.ts";
import type { LearnFactor, LearnRead } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";
import { refusal, stops, within } from "./kit.ts";

export function learnPart(p: Page): Markup {
  const v = p.lessons;
  return m`<div class="gearpage" tabindex="0" role="group" aria-label="What readings taught">${log(p)}
<p class="gw" role="status" data-key="learnsay">${p.gearBusy === "learn" ? m`Holding the readings against their
  predictions${p.lessonsDone > 0 ? `, ${Math.round(100 * p.lessonsDone)} %` : ""} ${button(p, "learnstop", "stop",
  { cls: "lnk" })}` : p.lessonsFailed ? m`${p.lessonsFailed} ${button(p, "learnagain", "learn again",
  { cls: "lnk" })}` : v ? known(p) : ""}</p>${v ? m`${next(p)}${doubts(p)}${v.factors.length ? factors(p) : ""}
  ${v.readings.length ? readings(p) : ""}` : ""}</div>`;
}

function known(p: Page): string {
  const v = p.lessons, n = v?.readings.filter((r) => r.state === "fits").length ?? 0;
  if (!v) return "";
  const bare = `All points of all setups are known to ${within(v.uncertainty_before_stops)}.`;
  if (!n) return v.doubts.length ? `Nothing that was read fits yet. ${bare}` : `Nothing was read yet. ${bare}`;
  return `${n === 1 ? "1 reading that fits" : `${n} readings that fit`}: all points of all setups are known to ${
    within(v.uncertainty_after_stops)}, ${within(v.uncertainty_before_stops)} without.`;
}

/** A reading is logged here as the meter says it. */
function log(p: Page): Markup {
  const v = p.view, points = v?.points.map((x) => x.name) ?? [], at = readPointOf(points, p.readPoint),
    lights = v?.lights.filter((l) => !l.off).map((l) => l.name) ?? [];
  return m`<section class="gsheet" aria-label="Log a reading"><h2>Log a reading of ${v?.name ?? "a setup"}</h2>
<div class="gsh"><label><span>at</span><select data-act="readpoint" data-key="readpoint">${points.map((x) => m`<option
  value="${x}"${x === at ? m` selected` : ""}>${x}</option>`)}</select></label>
<label><span>lights on</span><select data-act="readalone" data-key="readalone"><option value="">all of them</option>
  ${lights.map((x) => m`<option value="${x}"${x === p.readAlone ? m` selected` : ""}>${x} alone</option>`)}</select>
</label><label><span>the meter reads</span><input type="text" data-act="readlog" data-key="readlog"
  value="${p.readText}" data-enter="readgo" placeholder="f/5.6 + 0.3" autocomplete="off" spellcheck="false"></label>
${button(p, "readgo", "log it", { cls: "go", title: "" })}</div>${refusal(p, "read")}<p class="cap">The settings of the
  lights go with it as they stand now${p.lessons ? `; readings are kept in ${p.lessons.log}` : ""}.</p></section>`;
}

function next(p: Page): Markup {
  const v = p.lessons;
  if (!v?.read_next) return m``;
  const then = Math.max(0, v.uncertainty_after_stops - v.read_next_brings_stops),
    says = ` It would bring ${within(v.uncertainty_after_stops)} to ${within(then)}.`;
  return m`<p class="gnext" data-key="next"><b>Read next: ${v.read_next}.</b>${says}</p>`;
}

/** What a reading that does not fit was held against. */
function others(p: Page): string {
  return (p.lessons?.readings.filter((r) => r.state === "fits").length ?? 0) > 0 ? "all that is known, the other " +
    "readings too" : "what the figures of kit and room say";
}

function doubts(p: Page): Markup {
  return m`${(p.lessons?.doubts ?? []).map((d, i) => m`<section class="gcard" data-key="d${i}"
  aria-label="Does not fit">
<h2>${d.reading} does not fit: ${stops(d.off_stops, 1)} against ${others(p)}. It is left out.</h2><ul>${d.causes.map(
  (c, k) => m`<li data-key="c${k}">${c.cause} (${stops(c.stops, 1)}), ${Math.round(100 * c.chance)} in 100</li>`)}
</ul></section>`)}`;
}

const kinds: Record<string, string> = { head: "head", modifier: "modifier", grid: "grid", gel: "gel",
  surfaces: "what the walls give back", house: "light of the house" };

function factors(p: Page): Markup {
  const v = p.lessons;
  if (!v) return m``;
  return m`<table class="glev wide"><caption>What they teach: how far each lies over its figures</caption><thead><tr>
<th scope="col">of</th><th scope="col">the readings say</th><th scope="col">± before</th><th scope="col">from</th>
<th scope="col">predictions use</th><th scope="col"><span class="vh">undo</span></th></tr></thead><tbody>
${v.factors.map((f) => factor(p, f))}</tbody></table><div class="acts">${button(p, "learnkeep", "keep in my kit",
  { cls: "go" })}<span class="cap">${v.unkept ? `What ${v.unkept === 1 ? "1 reading teaches"
    : `${v.unkept} readings teach`} is not in force yet.` : "All of it is in force."} Kept in ${v.kept};
  copy the folder to take it to the next shoot.
  Forgetting takes out the readings that speak of a thing, also for what else they speak of.</span></div>
${refusal(p, "keep")}${refusal(p, "forget")}`;
}

function factor(p: Page, f: LearnFactor): Markup {
  const u = f.in_force;
  return m`<tr data-key="f${f.what}"><th scope="row">${f.name} <small>${kinds[f.kind] ?? f.kind}</small></th>
<td>${stops(f.stops)} ${within(f.sd_stops)}</td><td>${within(f.sd_before_stops)}</td><td>${f.readings === 1
  ? "1 reading" : `${f.readings} readings`}, ${f.date}</td><td>${u ? `${stops(u.stops)} ${within(u.sd_stops)}, ${
  u.date}` : "its figures"}</td><td>${u ? button(p, "learnforget", "forget", { arg: f.what, cls: "lnk",
  label: `forget: ${f.name}`, title: "" }) : ""}</td></tr>`;
}

const states: Record<LearnRead["state"], string> = { fits: "fits", doubt: "does not fit, left out",
  unused: "teaches nothing", back: "taken back" };

function readings(p: Page): Markup {
  return m`<table class="glev wide"><caption>Readings of the log</caption><thead><tr><th scope="col">reading</th>
<th scope="col">setup</th><th scope="col">over the figures</th><th scope="col">says</th><th scope="col">
<span class="vh">undo</span></th></tr></thead><tbody>${(p.lessons?.readings ?? []).map((r) => m`<tr
  data-key="r${r.seq}"${r.state === "back" ? m` class="back"` : ""}><th scope="row">${r.words} <small>${r.date}</small>
  </th><td>${r.setup}</td><td>${r.state === "fits" || r.state === "doubt" ? stops(r.off_stops) : "–"}</td>
<td>${states[r.state]}${r.why ? `: ${r.why}` : ""}${r.kept ? ", kept" : ""}</td><td>${button(p, "readback",
  r.state === "back" ? "put it back" : "take it back", { n: r.seq, arg: r.state === "back" ? "again" : "", cls: "lnk",
  label: `${r.state === "back" ? "put it back" : "take it back"}: ${r.words}`,
  title: "" })}</td></tr>`)}</tbody></table>
${refusal(p, "back")}`;
}
