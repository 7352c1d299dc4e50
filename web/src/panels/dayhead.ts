// The head of the day: now, what is spare, the picture most in doubt, the window, and what to say.
import { blocksOf, secondsOf } from "../model/day.ts";
import { daylightStops } from "../model/hour.ts";
import type { Page } from "../state/store.ts";
import { signed } from "../units/stops.ts";
import { clock, minuteOf, span } from "../units/clock.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";

/** What is under way, in a few words. */
function doing(p: Page): string {
  const run = blocksOf(p.day).filter((b) => b.running), live = p.day?.day?.live;
  const first = run.find((b) => b.task.picture) ?? run[0];
  if (!live) return "before the day: as planned";
  if (!first) return "nothing is said to be under way";
  return `${first.task.picture ? first.task.setup :
    first.task.text}, ${Math.max(0,
    Math.round((live.now_seconds - first.start) / 60))} min into ${Math.round((first.end - first.start) / 60)}`;
}

const cell = (head: string, figure: Markup, under: string | Markup, key: string): Markup =>
  m`<div class="hc" data-key="${key}"><p class="cap">${head}</p><p class="v">${figure}</p><p class="u">${under}</p>
  </div>`;

function spare(p: Page): Markup {
  const d = p.day?.day, live = d?.live, s = live?.spare_seconds ?? null, was = live?.planned_spare_seconds ?? null;
  if (!d) return cell("Slack left", m`–`, "", "hspare");
  if (live) {
    if (s === null) return cell("Slack left", m`–`, "the shoot says no end", "hspare");
    const min = Math.floor(s / 60), lost = was === null ? 0 : Math.round((was - s) / 60),
      says = `planned ${was === null ? "–" : Math.floor(was / 60)}, ${lost > 0 ? `${lost} spent` : lost < 0 ?
      `${-lost} won` : "none spent"}`;
    return cell(min < 0 ? "Behind by" : "Slack left", m`${Math.abs(min)}<small>min</small>`, says, "hspare");
  }
  return cell("Place empty", m`${d.end}`, d.out ?
    `due ${d.out}, ${Math.round(100 * d.chance_out_in_time)} days in 100` : "the shoot says no end", "hspare");
}

function doubt(p: Page): Markup {
  const d = p.day?.day, list = (d?.live?.setups ?? d?.setups ?? []).filter((s) => s.in && !s.shot),
    done = new Set(blocksOf(p.day).filter((b) => b.over && b.task.picture).map((b) => b.task.setup));
  const open = list.filter((s) => !done.has(s.setup)), worst = [...open].sort((a, b) => a.chance - b.chance)[0],
    gone = (d?.setups ?? []).filter((s) => !s.in && !s.shot);
  if (gone.length) return cell(gone.length === 1 ? "Left out" : `Left out ${gone.length}`, m`<span class="nm">
    ${gone[0]?.setup ?? ""}</span>`, "see what was found", "hdoubt");
  if (!worst) return cell("Pictures", m`${done.size}`, d ? "all done" : "", "hdoubt");
  return cell(open.length === 1 ? "It is done in time" : "Most in doubt", m`${Math.round(100 * worst.chance)}
    <small>%</small>`, `${worst.setup}${worst.limit ? ` by ${worst.limit}` : ""}`, "hdoubt");
}

/**
 * The next picture's daylight against now; before the day the last picture's against the first one's, or what one alone
 * loses while it is taken.
 */
function sky(p: Page): Markup {
  const h = p.day?.daylight, d = p.day?.day;
  if (!h || !d) return m``;
  const pictures = blocksOf(p.day).filter((b) => b.task.picture && !b.over && !b.running), first = pictures[0],
    last = pictures[pictures.length - 1], now = d.live?.now_seconds;
  if (!first || !last) return m``;
  if (now === undefined && first === last) {
    const stops = daylightStops(h, minuteOf(first.end)) - daylightStops(h, minuteOf(first.start));
    return cell(`Window in ${first.task.setup ?? ""}`, m`${Number.isFinite(stops) ? signed(stops) : "–"}
      <small>stops</small>`, `from ${clock(first.start)} to ${clock(first.end)}`, "hsky");
  }
  const a = now ?? first.start, b = now === undefined ? last : first, stops = daylightStops(h,
    minuteOf(b.start)) - daylightStops(h, minuteOf(a));
  return cell(`Window for ${b.task.setup ?? ""}`, m`${Number.isFinite(stops) ? signed(stops) : "–"}
    <small>stops</small>`, now === undefined ? `at ${clock(b.start)},
    against ${first.task.setup ?? ""}` : `at ${clock(b.start)}, against now`, "hsky");
}

export function hoursOf(p: Page): Markup {
  const d = p.day?.day, on = p.dayNow === "clock", live = d?.live, now = live ?
    clock(live.now_seconds) : typeof p.dayNow === "number" ? clock(p.dayNow) : "";
  const best = d?.give_up_first[0], begin = secondsOf(d?.begin ?? "", 0);
  const nowCell = m`<div class="hc" data-key="hnow">
    <p class="cap">Now ${button(p, "dayclock", on ? "by the clock" : "go by the clock", { on, cls: "lnk",
    title: "" })}</p><p class="v">
    <input type="text" data-act="daynow" data-key="daynow" data-pick="" autocomplete="off"
      value="${now}" placeholder="hh:mm" aria-label="What time it is for the day; empty: before it"></p><p
      class="u">${doing(p)}</p></div>`;
  const against = p.day?.findings.find((x) => x.severity === "finding" && ["day.lock", "day.out", "day.too-late",
    "day.light-gone", "day.no-room", "day.hands", "day.must", "day.kit", "day.after"].includes(x.code));
  const next = !live && begin !== null && d ? `The crew begins at ${d.begin}. ` : "";
  return m`${nowCell}${spare(p)}${doubt(p)}${sky(p)}<div class="say" data-key="say">${p.day?.problem ? m`<p>
    <b>There is no plan.</b> ${p.day.problem}</p>` : ""}${d ? m`<p class="ad" data-key="ad">
    <b>For the art director:</b> ${d.sentence}</p>` : m`<p>${p.dayBusy ? "The day is being planned." : ""}
    </p>`}${against ? m`<p>
    <b>Against it:</b> ${against.text}${against.fix ? m` → ${against.fix}` : ""}.</p>` : ""}${best ? m`<p>
    <b>Buys most:</b> ${best.text}, ${best.ends_earlier_minutes > 0 ?
    `+${best.ends_earlier_minutes} min, ` : ""}all of the rest to ${Math.round(100 * best.chance_then)} %.</p>` :
    d && next ? m`<p>${next}${d.proven ? "There is no better plan." : `Not proven: none ends before ${d.bound}.`}
    </p>` : ""}${d && live ? m`<p>The place is empty at ${live.end}${d.out ? `, due ${d.out}` : ""};
    ${span(live.spare_seconds ?? 0)} ${(live.spare_seconds ?? 0) < 0 ? "too late for something" :
      "are spare"}.</p>` : ""}</div>`;
}
