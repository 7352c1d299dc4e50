// Ways out of what the look misses: ranked, each with its five costs; one press takes one, undo gives it back.
import { inOrder } from "../actions/ways.ts";
import { changed, type Part } from "../draw/change.ts";
import type { Edit, WayJSON } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { otherHour } from "./hours.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";
import { minus, signed } from "../units/stops.ts";
import { pictureKey } from "../state/pictures.ts";

const side = 200;

/** The small pictures of the ways that are listed: as it is, then each way in its order. */
export function wayWishes(p: Page): { key: string; setup: number; revision: number; edits: Edit[]; side: number }[] {
  const w = p.ways;
  if (!w || !p.view?.camera || w.revision !== p.view.revision || w.ways.name !== p.view.name) return [];
  const wish = (edits: Edit[]) => ({ key: pictureKey(p.setup, w.revision, edits, side), setup: p.setup,
    revision: w.revision, edits, side });
  return [wish([]), ...w.takes.filter((x) => x.edits.length > 0).map((x) => wish(x.edits))];
}

const parts = new Map<string, Part | null>();

/** Where a pair of small pictures differs; worked out once, the page is drawn again when it is known. */
function partOf(a: string, b: string, also: readonly [number, number] | undefined): Part | null {
  const key = `${a} ${b} ${also ?? ""}`, had = parts.get(key);
  if (had !== undefined) return had;
  parts.set(key, null);
  if (parts.size > 200) parts.delete(parts.keys().next().value ?? "");
  void Promise.all([pixels(a), pixels(b)]).then(([x, y]) => {
    if (x && y && x.width === y.width && x.height === y.height)
      parts.set(key, changed(x.data, y.data, x.width, x.height, also));
    again();
  }, () => undefined);
  return null;
}

let again: () => void = () => undefined;
/** Says how the page is drawn again. */
export const onPart = (f: () => void): void => { again = f; };

async function pixels(url: string): Promise<ImageData | null> {
  const img = new Image();
  img.src = url;
  await img.decode();
  const c = document.createElement("canvas");
  c.width = img.naturalWidth;
  c.height = img.naturalHeight;
  const x = c.getContext("2d", { willReadFrequently: true });
  x?.drawImage(img, 0, 0);
  return x?.getImageData(0, 0, c.width, c.height) ?? null;
}

/** Before and after of a way, side by side; words stand in until a picture is there. */
function pair(p: Page, edits: Edit[], words: string): Markup {
  const w = p.ways;
  if (!w || edits.length === 0 || !p.view?.camera) return m``;
  const missed = p.view.points.filter((q) => q.picture && words.startsWith(q.name))
    .sort((x, y) => y.name.length - x.name.length)[0];
  const url = (e: Edit[]) => {
    const u = p.pictures.get(pictureKey(p.setup, w.revision, e, side)) ?? "";
    return u.startsWith("!") ? "" : u;
  };
  const part = url([]) && url(edits) ? partOf(url([]), url(edits), missed?.picture) : null;
  const zoom = part && part[2] < 0.95
    ? `width:${(100 / part[2]).toFixed(1)}%;margin-left:${((-100 * part[0]) / part[2]).toFixed(
      1)}%;--t:${((-100 * part[1]) / part[3]).toFixed(1)}%` : "width:100%;margin-left:0;--t:0%";
  const c = p.view.camera, shape = (c.sensor_height / c.sensor_width) * 100;
  const one = (e: Edit[], words: string) => {
    const got = p.pictures.get(pictureKey(p.setup, w.revision, e, side)) ?? "", stale = w.revision !== p.view?.revision;
    return m`<figure>${got && !got.startsWith("!") ? m`<div class="cut" data-css="padding-top:${shape.toFixed(1)}%">
      <img src="${got}" alt="${words}" data-css="${zoom}"></div>`
      : m`<span>${got ? got.slice(1) : stale ? "of an earlier plan" : "being computed"}</span>`}
      <figcaption>${words}</figcaption></figure>`;
  };
  return m`<div class="pair">${one([], "as it is")}${one(edits, "with it")}</div>`;
}

export function waysOut(p: Page): Markup {
  const w = p.ways, stale = w !== null && w.revision !== p.view?.revision;
  return m`<div class="hd"><h2>Ways out</h2><p role="status">${otherHour(p) ? m`<b>${otherHour(p)}.</b> `
    : ""}${p.searching >= 0 ? `searching, ${Math.round(p.searching * 100)} %` : w === null ? "" : stale
    ? "of the plan before the last change" : "ranked by loss to the look, then minutes"}</p>
    ${p.searching < 0 && (stale || w === null)
      ? m`<button class="lnk end" data-act="search">search ${stale ? "again" : ""}</button>` : ""}</div>
    <div class="list" tabindex="0" role="region" aria-label="What brings it">
    ${p.way ? m`<p class="vh" role="status">highlighted: ${wayWords(p)}</p>` : ""}${w === null
      ? (p.searching >= 0 ? m`<p class="none">The look is balanced, then each way out is tried and balanced anew. This
        takes some seconds.</p>` : "") : list(p)}</div>`;
}

/** The highlighted way in words, for who does not see it. */
const wayWords = (p: Page): string => p.ways?.ways.ways[Number(p.way)]?.words ?? "";

function list(p: Page): Markup {
  const w = p.ways;
  if (!w) return m``;
  if (w.ways.missed.length === 0 && w.ways.cannot.length === 0)
    return m`<p class="none">Nothing is missed: balancing meets the whole look.
      ${button(p, "reach", "balance now", { cls: "lnk", key: "ways-reach" })}</p>`;
  const missed = inOrder(p, w), first = missed[0]?.words ?? "";
  return m`<div class="missed"><b>${minus(w.ways.sentence)}</b></div>
${missed.map((x, i) => m`<div class="missed" data-key="missed${i}">
  <b>${x.words}: ${minus(x.off)}.</b> ${minus(x.reason)}</div>`)}
${w.ways.ways.map((y, k) => way(p, y, first, k, w.takes[k]?.edits ?? []))}
${w.ways.refused.length ? m`<div class="missed"><b>Thought of, but they cannot stand here</b></div>
  ${w.ways.refused.map((r) => m`<div class="msg">${r.words}: ${r.why}</div>`)}` : ""}
${w.ways.stopped ? m`<p class="none">The search was cut short; there may be more.</p>` : ""}`;
}

function way(p: Page, y: WayJSON, missed: string, k: number, edits: Edit[]): Markup {
  const can = edits.length > 0;
  const soft = y.softness > 0 && Math.abs(y.softness - 1) > 0.02 ? `× ${y.softness.toFixed(2)}` : "same";
  return m`<div class="way${p.way === `${k}` ? " at" : ""}" data-key="way${k}" ${p.way === `${k}`
    ? m`aria-current="true"` : ""}><span class="no">${k + 1}</span><div><b>${y.words}</b>
    ${y.detail ? m` ${minus(y.detail)}` : ""}</div>
    ${can ? m`<button class="take" data-act="take" data-n="${k}" aria-label="Take: ${y.words}">take</button>`
      : m`<span></span>`}
${pair(p, edits, missed)}<div class="more">
  ${y.targets.map((t) => `${t.words}: ${minus(t.before_text)} → ${minus(t.predicted_text)}`).join("; ")}</div>
  <dl class="costs"><div><dt>still short</dt><dd>${y.still_short_stops.toFixed(1)} <small>st</small></dd></div><div>
  <dt>other rungs</dt><dd title="${y.others_at ?? ""}">${signed(y.others_stops)} <small>st</small></dd></div><div>
  <dt>colour</dt><dd>${y.delta_e2000.toFixed(1)} <small>ΔE</small></dd></div><div><dt>shadow edge</dt>
  <dd>${soft}</dd></div><div><dt>time</dt><dd>${y.minutes.toFixed(0)} <small>min ${y.who}</small></dd></div></dl>
${y.settings.length || y.needs.length || y.not_free.length
  ? m`<div class="more">${minus([...y.settings, ...(y.needs.length ? [`needs ${y.needs.join(", ")}`] : []),
    ...(y.not_free.length ? [`not free: ${y.not_free.join(", ")}`] : [])].join("; "))}</div>` : ""}</div>`;
}
