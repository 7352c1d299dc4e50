// The day as a drawing: lanes by person on one clock, setups as dimension lines, blocks, slack, the now-line,
// and when each picture will begin.
import { inLane, secondsOf, shortName, sitterLane, type Block } from "../model/day.ts";
import type { DaySetup, DayView } from "../model/wire.ts";
import { stopMinutes } from "../model/hour.ts";
import { group, m, r1, type Markup } from "../units/markup.ts";
import { clock } from "../units/clock.ts";
import { dimension, hatches } from "./hatch.ts";
import { widthOf } from "./labels.ts";

/** Where things lie: the clock from x0 to x1 is lo to hi, seconds after midnight; lanes begin at top. */
export interface DayPlace { x0: number; x1: number; lo: number; hi: number; top: number; lane: number;
  lanes: readonly string[] }

export interface DayLook {
  w: number;
  h: number;
  ends: [number, number];
  /** Selected task. */
  task: string;
  zoom: string;
  /** The block in the hand. */
  drag: { task: string; start: number; lane: string } | null;
  /** Colour of daylight. */
  sky: string;
  /** Tasks that something was found of, with what. */
  found: ReadonlyMap<string, string>;
}

export const dx = (p: DayPlace, t: number): number => p.x0 + ((t - p.lo) / (p.hi - p.lo)) * (p.x1 - p.x0);
export const timeAt = (p: DayPlace, x: number): number => p.lo + ((x - p.x0) / (p.x1 - p.x0)) * (p.hi - p.lo);
export const laneAt = (p: DayPlace, y: number): string => p.lanes[Math.max(0, Math.min(p.lanes.length - 1,
  Math.floor((y - p.top) / p.lane)))] ?? "";

const curves = 118;

export function dayPlace(v: DayView, lanes: readonly string[], look: Pick<DayLook, "w" | "h" | "ends">): DayPlace {
  const x0 = look.w > 900 ? 150 : 92, head = v.daylight ? 112 : 88;
  return { x0, x1: look.w - 26, lo: look.ends[0], hi: look.ends[1], top: head, lane: Math.max(34,
    (look.h - head - curves) / Math.max(1, lanes.length)), lanes };
}

/** Words in lines of at most so many pixels; null where a word or the lines do not fit. */
function lines(text: string, size: number, wide: number, most: number): string[] | null {
  const out: string[] = [];
  for (const w of text.split(" ")) {
    const last = out[out.length - 1], both = last === undefined ? w : `${last} ${w}`;
    if (last !== undefined && widthOf(both, size) <= wide) out[out.length - 1] = both;
    else out.push(w);
    if (widthOf(w, size) > wide || out.length > most) return null;
  }
  return out;
}

/** The longest beginning of a text that fits, in words. */
function shortened(text: string, size: number, wide: number, most: number): string[] | null {
  const whole = lines(text, size, wide, most);
  if (whole) return whole;
  const words = text.split(" ");
  for (let n = words.length - 1; n > 0; n--) {
    const got = lines(`${words.slice(0, n).join(" ").replace(/[,:+]$/, "")} …`, size, wide, most);
    if (got) return got;
  }
  return null;
}

/** A block's words: level where they fit, else bottom to top; none where neither fits. */
function words(text: string, x: number, y: number, w: number, h: number): Markup {
  const size = 11.5, step = 13;
  const flat = w > 34 ? shortened(text, size, w - 10, Math.max(1, Math.floor((h - 8) / step))) : null;
  const whole = flat && !flat.join(" ").endsWith("…");
  const turned = w >= 12 && !whole ? shortened(text, 10.5, h - 8, Math.max(1, Math.floor((w - 1) / 11.5))) : null;
  if (flat && (whole || !turned || turned.join(" ").length <= flat.join(" ").length)) {
    const top = y + h / 2 - ((flat.length - 1) * step) / 2 + 4;
    return m`${flat.map((l, i) => m`<text x="${r1(x + 6)}" y="${r1(top + i * step)}">${l}</text>`)}`;
  }
  if (!turned) return m``;
  const left = x + w / 2 - ((turned.length - 1) * 11.5) / 2 + 4;
  return m`${turned.map((l, i) => m`<text class="tn"
    transform="translate(${r1(left + i * 11.5)} ${r1(y + h - 5)}) rotate(-90)">${l}</text>`)}`;
}

/** What a block says to who does not see it. */
export const blockSays = (b: Block): string => {
  const t = b.task, slack = b.over ? "done" : b.running ? "under way" : b.critical ?
    "no slack" : `slack ${Math.floor(t.slack_seconds / 60)} min`;
  return `${t.id}, ${clock(b.start)} to ${clock(b.end)}, ${t.people.join(" and ") || "nobody"}, ${slack}${t.locked ?
    ", held" : ""}`;
};

function block(b: Block, lane: string, k: number, p: DayPlace, look: DayLook): Markup {
  const t = b.task, held = look.drag?.task === t.id ? look.drag : null, off = held ? held.start - b.start : 0;
  const x = dx(p, b.start + off), w = Math.max(3, dx(p, b.end + off) - x - 1), pad = Math.min(14, p.lane * 0.16),
    row = held && held.lane && lane !== sitterLane && inLane(t, lane) && !inLane(t, held.lane) &&
    held.lane !== sitterLane ? p.lanes.indexOf(held.lane) : k;
  const y = p.top + p.lane * row + pad, h = p.lane - 2 * pad, sel = look.task === t.id,
    bad = look.found.get(t.setup ?? "") && t.picture;
  const cls = ["blk", b.over ? "over" : "", b.running ? "run" : "", b.critical && !b.over ? "crit" : "", sel ?
    "sel" : "", t.picture ? "pic" : "", held ? "held" : ""].filter(Boolean).join(" ");
  const lock = t.locked ? m`<path class="lockmark" d="M${r1(x + 1)} ${r1(y + h)}v-7M${r1(x + 1)} ${r1(y + h)}h7"/>
    <path class="lockmark" d="M${r1(x + w)} ${r1(y)}v7M${r1(x + w)} ${r1(y)}h-7"/>` : "";
  return m`<g class="${cls}" data-task="${t.id}" data-lane="${lane}" data-act="dayname" data-arg="${t.id}"
    data-key="blk${k}-${t.id}" role="button" tabindex="0" aria-pressed="${sel ? "true" : "false"}"
    data-says="${blockSays(b)}"><title>${blockSays(b)}${bad ? `; found: ${bad}` : ""}</title><rect
    x="${r1(x + 0.5)}" y="${r1(y)}" width="${r1(w)}"
    height="${r1(h)}"/>${words(shortName(t), x, y, w, h)}${lock}${held ? m`<text class="at" x="${r1(x)}"
    y="${r1(y - 4)}">${clock(b.start + off)}</text>` : ""}</g>`;
}

/** Slack after a block, hatched until the next block of the lane. */
function slack(b: Block, next: Block | undefined, k: number, p: DayPlace): Markup {
  if (b.over || b.critical || b.task.picture) return m``;
  const from = b.end, to = Math.min(b.end + b.task.slack_seconds, next?.start ?? p.hi, p.hi), x = dx(p, from),
    w = dx(p, to) - x;
  if (w < 3) return m``;
  const h = p.lane * 0.3;
  return m`<rect class="slack" fill="url(#day-dof)" x="${r1(x + 1)}"
    y="${r1(p.top + p.lane * (k + 0.5) - h / 2)}" width="${r1(w - 2)}" height="${r1(h)}"/>`;
}

function clockMarks(p: DayPlace, y: number, bottom: number, now: number | undefined): Markup {
  const wide = (p.x1 - p.x0) / ((p.hi - p.lo) / 60), every = wide > 14 ? 5 : wide > 5.6 ? 15 : wide > 2.6 ?
    30 : 60, out: Markup[] = [];
  for (let t = Math.ceil(p.lo / (every * 60)) * every * 60; t <= p.hi; t += every * 60) {
    const x = r1(dx(p, t)), whole = t % 3600 === 0;
    const under = now !== undefined && Math.abs(x - dx(p, now)) < 46;
    out.push(m`<path class="grid" d="M${x} ${y + 10}V${bottom}"/>
      ${under ? "" : m`<text class="${whole ? "hr" : "mi"}" x="${x}" y="${y}" text-anchor="middle">${clock(t)}
      </text>`}`);
  }
  return m`${out}`;
}

function setups(v: DayView, blocks: readonly Block[], p: DayPlace, y: number, look: DayLook): Markup {
  const pictures = blocks.filter((b) => b.task.picture), out: Markup[] = [];
  let from = Math.min(...blocks.map((b) => b.start)), lastEnd = p.x0;
  pictures.forEach((b, i) => {
    const x = dx(p, from), to = dx(p, b.start), xe = dx(p, b.end), name = b.task.setup ?? "";
    const change = `${i === 0 ? "pre-light" : "change"} ${Math.round((b.start - from) / 60)} min`;
    if (to - x > 6) out.push(m`<g class="gap">
      ${dimension(x, y, to, y, to - x > widthOf(change, 11) + 4 ? change : to - x > 20 ?
      String(Math.round((b.start - from) / 60)) : "", true)}</g>`);
    // Over its middle, or as far to the right as the name before it takes; it leaves the next one its own middle.
    const text = `${name} ${Math.round((b.end - b.start) / 60)} min`, mid = (to + xe) / 2, next = pictures[i + 1],
      end = next ? (dx(p, next.start) + dx(p, next.end)) / 2 - 16 : look.w,
      left = (s: string): number => Math.max(lastEnd + 8, mid - widthOf(s, 13, true) / 2),
      fits = (s: string): boolean => left(s) + widthOf(s, 13, true) <= end,
      said = [text, name].find(fits) ?? name.slice(0, Math.max(3, Math.floor((end - left(name)) / 8))),
      at = left(said);
    lastEnd = at + widthOf(said, 13, true);
    out.push(m`<g class="set${look.zoom === name ? " sel" : ""}" data-act="dayzoom" data-arg="${name}"
      data-key="zoom${name}" role="button" tabindex="0"
      aria-label="${text}, ${look.zoom === name ? "the whole day" : "large"}">${dimension(to, y, xe, y, "")}
      <rect class="hit0" x="${r1(Math.min(to, mid - 40))}" y="${y - 24}"
      width="${r1(Math.max(xe - to, 80))}" height="34"/><text class="h" x="${r1(at)}"
      y="${y - 8}">${said}</text></g>`);
    from = b.end;
  });
  const end = Math.max(...blocks.map((b) => b.end));
  if (pictures.length && end > from) out.push(m`<g class="gap">
    ${dimension(dx(p, from), y, dx(p, end), y, `strike and out ${Math.round((end - from) / 60)} min`, true)}</g>`);
  return m`<text class="l" x="14" y="${y + 3}">${v.day?.setups.length === 1 ? "Setup" : "Setups"}</text>${out}`;
}

/** When each picture will begin: shares of simulated days by the minute, smoothed over three. */
function chance(s: DaySetup, k: number, p: DayPlace, base: number, near: number, room: number): Markup {
  const list = s.starts ?? [], sum = list.reduce((a, b) => a + b, 0), limit = secondsOf(s.limit ?? "", near);
  if (sum === 0 || s.shot || !s.in) return m``;
  const at = (i: number): number => ((list[i - 1] ?? 0) + 2 * (list[i] ?? 0) + (list[i + 1] ?? 0)) / 4,
    top = Math.max(...list.map((_, i) => at(i))), high = 46;
  const pts: [number, number][] = [];
  for (let i = -1; i <= list.length; i++) pts.push([dx(p, (s.from_minute + i + 0.5) * 60),
    base - (list.length === 1 ? (i === 0 ? high : 0) : (high * at(i)) / top)]);
  const path = pts.map(([x, y], i) => `${i ? "L" : "M"}${r1(x)} ${r1(y)}`).join(""), lx = limit === null ?
    null : dx(p, limit + 30);
  const over = lx === null ? [] : pts.filter(([x]) => x >= lx), first = pts[0]?.[0] ?? 0;
  const late = over.length > 1 && lx !== null ?
    m`<path class="late" fill="url(#day-dense)"
      d="M${r1(Math.max(lx, over[0]?.[0] ?? lx))} ${base}${over.map(([x, y]) =>
      `L${r1(x)} ${r1(y)}`).join("")}L${r1(over[over.length - 1]?.[0] ?? 0)} ${base}Z"/>` : "";
  const per = Math.round(100 * s.chance), says = `${per} %`, mid = pts.reduce((a, [x, y]) => (y < a[1] ? [x,
    y] : a), [first, base] as [number, number])[0];
  const tx = Math.max(p.x0 + 4, Math.min(mid, p.x1 - 60)), lower = 12;
  return m`<g class="curve" data-key="curve${k}"><title>
    ${s.setup}: begins in time and is done on ${per} days of 100${s.limit ?
    `; by ${s.limit} at the latest, ${s.whose ?? ""}` : ""}</title>${late}<path class="bell" d="${path}"/>
    ${lx !== null && lx < p.x1 ? m`<path class="limit" d="M${r1(lx)} ${base - high - 8}V${base + 4}"/>` : ""}
    <text class="h big" x="${r1(tx)}" y="${base - high - 20}" text-anchor="middle">${says}</text>
    <text class="l" x="${r1(tx)}" y="${base - high - 7}" text-anchor="middle">
    ${room > 120 && s.limit ? `by ${s.limit}` : ""}</text>
    <text class="l" x="${r1(tx)}" y="${base + lower + 3}" text-anchor="middle">
    ${room > widthOf(s.setup, 11) ? s.setup : s.setup.slice(0, Math.max(3, Math.floor(room / 7)))}</text></g>`;
}

export function dayDrawing(v: DayView, blocks: readonly Block[], p: DayPlace, look: DayLook): Markup {
  const { w } = look, sky = v.daylight, y0 = sky ? 40 : 16, bottom = p.top + p.lane * p.lanes.length,
    base = bottom + curves - 30, now = v.day?.live?.now_seconds;
  const near = blocks[0]?.start ?? 0, out = secondsOf(v.day?.out ?? "", near),
    leave = secondsOf(v.day?.sitter_leaves ?? "", near), all = v.day?.live?.setups ?? v.day?.setups ?? [];
  const strokes = sky ? stopMinutes(sky).map((t) => t * 60).filter((t) => t >= p.lo && t <= p.hi) : [];
  const window = sky ? m`<text class="l" x="14" y="16">${w > 900 ? "Window, a stroke a stop" : "Window"}</text>
    ${strokes.map((t) => m`<path d="M${r1(dx(p, t))} 4V18" stroke="${look.sky}"
      stroke-width="2"/>`)}${strokes.length ? "" : m`<text class="l" x="${p.x0}"
      y="16">less than a stop over the day</text>`}` : m``;
  const lanes = p.lanes.map((lane, k) => {
    const mine = blocks.filter((b) => inLane(b.task, lane)).sort((a, b) => a.start - b.start), y = p.top + p.lane * k;
    return group(`lane${k}`, m`<path class="sep" d="M0 ${r1(y)}H${w}"/>
      <text class="lane" x="14" y="${r1(y + p.lane / 2 + 4)}">${lane.charAt(0).toUpperCase() + lane.slice(1)}
      </text>`, mine.map((b, i) => slack(b, mine[i + 1], k, p)), mine.map((b) => block(b, lane, k, p, look)));
  });
  const begun = new Set(blocks.filter((b) => b.task.picture && (b.over || b.running)).map((b) => b.task.setup)),
    shown = all.filter((s) => s.in && !s.shot && !begun.has(s.setup)), span = (p.x1 - p.x0) / Math.max(1,
    shown.length);
  const line = (t: number | null, words: string, y: number): Markup => (t !== null && t >= p.lo && t <= p.hi ?
    m`<g class="due"><path d="M${r1(dx(p, t))} ${y0 + 14}V${base}"/>
    <text class="l" x="${r1(dx(p, t) - 5)}" y="${y}" text-anchor="end">${words} ${clock(t)}</text></g>` : m``);
  const nx = now === undefined ? 0 : dx(p, now);
  const nowLine = now !== undefined && now >= p.lo && now <= p.hi ? m`<g class="now" data-key="now">
    <path d="M${r1(nx)} ${y0 - 10}V${base + 4}"/><rect x="${r1(nx - 23)}" y="${y0 - 14}" width="46" height="19"/>
    <text x="${r1(nx)}" y="${y0}" text-anchor="middle">${clock(now)}</text></g>` : m``;
  return m`${hatches("day")}${group("dclock", window, clockMarks(p, y0, bottom, now), setups(v, blocks, p, y0 + 56,
    look))}
${group("ddue", line(leave, "sitter leaves", y0 + 22), line(out, "place empty", y0 + 22))}${lanes}
  <path class="sep" d="M0 ${r1(bottom)}H${w}"/>
${group("dchance", m`<text class="h" x="14" y="${r1(bottom + 24)}">When will it begin?</text>
  <text class="l" x="14" y="${r1(bottom + 40)}">${v.day?.days_simulated ?? 0} runs of the day,</text>
  <text class="l" x="14" y="${r1(bottom + 54)}">each task by its own spread</text>
  <path class="axis" d="M${p.x0} ${r1(base)}H${p.x1}"/>`, shown.map((s, k) => chance(s, k, p, base, near, span)))}
${nowLine}`;
}
