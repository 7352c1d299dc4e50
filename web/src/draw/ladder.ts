// The ladder: one row a point, stops run to the right. A stroke is the level as it
// is, a ring the wish; the bar between them is the error, to
// scale, cut by the lights' shares in their colours. A stroke inside its ring is done.
import type { Level, Ring } from "../model/light.ts";
import { capital } from "../model/names.ts";
import { encode, tone } from "../units/colour.ts";
import { group, kept, m, r1, type Markup } from "../units/markup.ts";
import { clamp, fParts, fSpoken, fText, signed, whole } from "../units/stops.ts";

export interface LadderRow {
  /** Place in the list of points. */
  i: number;
  /** Its number, from 1. */
  n: number;
  name: string;
  level: Level;
  ring: Ring;
  /** Standard error of the level, stops. */
  sigma: number;
  /** How far off and why: the amount, then the cause; both empty where the wish is met. */
  off: string;
  why: string;
}

export interface LadderDrawing {
  /** Width of the graph, pixels. */
  w: number;
  /** Height of a row's graph, pixels. */
  h: number;
  rows: LadderRow[];
  /** Free points that are folded away, by their levels. */
  folded: { stops: number; ring: number }[];
  selected: number;
  /** Colour of each layer. */
  colours: string[];
  scale: LadderScale;
  /** There is a camera: a point has a tone in its picture. */
  pictured: boolean;
}

/** The axis: stops at its left and right end, and where those lie in pixels. */
export interface LadderScale { lo: number; hi: number; x0: number; x1: number }

const edge = 8;

/**
 * The axis from −4, or half a stop under the lowest level or wish, to
 * just over the clip; within what the sensor can tell.
 */
export function ladderScale(w: number, clip: number, floor: number, all: readonly number[]): LadderScale {
  const low = Math.min(...all.filter((v) => Number.isFinite(v)), 0) - 0.5,
    high = Math.max(...all.filter((v) => Number.isFinite(v)), 0) + 0.5;
  const lo = Math.max(Math.min(-4, Math.floor(low)), Math.min(-4, Math.floor(floor)), -10);
  return { lo, hi: Math.max(Math.ceil(clip * 2) / 2, Math.min(high, clip + 2)) + 0.25, x0: edge,
    x1: Math.max(edge + 20, w - edge) };
}

export const xAt = (s: LadderScale, stops: number): number =>
  s.x0 + ((clamp(Number.isFinite(stops) ? stops : s.lo, s.lo, s.hi) - s.lo) / (s.hi - s.lo)) * (s.x1 - s.x0);

export const stopsAt = (s: LadderScale, x: number): number => s.lo + ((x - s.x0) / (s.x1 - s.x0)) * (s.hi - s.lo);

const wholes = (s: LadderScale): number[] => Array.from({ length: Math.floor(s.hi) - Math.ceil(s.lo) + 1 },
  (_, k) => Math.ceil(s.lo) + k);

/**
 * Head of the graph: the tones that the picture gives each stop, where the
 * sensor clips and where noise takes over, and the figures.
 */
export function ladderHead(s: LadderScale, clip: number, floor: number,
  curve: { join: number; white: number; power: number }): Markup {
  const X = (v: number): number => r1(xAt(s, v)), top = 24, high = 9, stops = wholes(s),
    narrow = (s.x1 - s.x0) / (s.hi - s.lo) < 15;
  const patches = stops.map((k) => {
    const v = Math.round(255 * encode(tone(0.18 * 2 ** k, curve))), a = X(Math.max(s.lo, k - 0.5)),
      b = X(Math.min(s.hi, k + 0.5, clip));
    return b > a ? m`<rect x="${a}" y="${top}" width="${r1(b - a + 0.3)}" height="${high}"
      fill="rgb(${v},${v},${v})"/>` : "";
  });
  const figures = stops.filter((k) => !narrow || k % 2 === 0).map((k) =>
    m`<text x="${X(k)}" y="${top + high + 14}" text-anchor="middle" class="${k === 0 ? "zero" : ""}">
      ${whole(k)}</text>`);
  const dots = floor > s.lo ? m`<rect x="${X(s.lo)}" y="${top}" width="${r1(X(floor) - X(s.lo))}" height="${high}"
    fill="url(#ld-dots)"/>` : "";
  return m`<g class="wedge">${patches}${dots}${clip < s.hi
    ? m`<rect x="${X(clip)}" y="${top}" width="${r1(X(s.hi) - X(clip))}" height="${high}" fill="url(#ld-dense)"/>` : ""}
<path class="wedgeline" d="M${X(s.lo)} ${top}H${X(s.hi)}V${top + high}H${X(s.lo)}Z"/></g>${figures}`;
}

/** The histogram over the head, in the same axis. */
export function ladderHistogram(bins: Float32Array, lo: number, s: LadderScale): Markup {
  const base = 22, most = Math.max(1e-6, ...Array.from(bins.subarray(1, bins.length - 1)));
  let d = "";
  for (let k = 0; k < bins.length; k++) {
    const stops = lo + k / 8;
    if (stops < s.lo || stops > s.hi) continue;
    const a = ((bins[Math.max(0, k - 1)] ?? 0) + 2 * (bins[k] ?? 0) +
      (bins[Math.min(bins.length - 1, k + 1)] ?? 0)) / 4;
    d += `${d ? "L" : "M"}${r1(xAt(s, stops))} ${r1(base - Math.min(1, Math.sqrt(a / most)) * 18)}`;
  }
  return m`<path class="histline" d="${d}"/>`;
}

/** A row's lines at whole stops, which stand while its level moves. */
const grid = (key: string, s: LadderScale, h: number): Markup => group(key, wholes(s).map((k) =>
  m`<path class="${k === 0 ? "grid0" : "gridn"}" d="M${r1(xAt(s, k))} 0V${h}"/>`));

/** The lights' shares from the stroke to the ring, biggest first. */
function bar(d: LadderDrawing, r: LadderRow, y: number): Markup {
  const a = xAt(d.scale, r.level.stops), b = xAt(d.scale, r.ring.stops), high = Math.min(9, d.h * 0.36);
  if (!r.ring.held || Math.abs(r.level.stops - r.ring.stops) < 0.15) return m``;
  let x = a;
  const parts = r.level.shares.map((v, l) => ({ v, l })).filter((q) => q.v > 0.01).sort((p, q) => q.v - p.v);
  const sum = parts.reduce((t, q) => t + q.v, 0) || 1;
  return m`${parts.map(({ v, l }) => {
    const to = x + ((b - a) * v) / sum, left = Math.min(x, to), wide = Math.abs(to - x), gap = wide > 4 ? 1 : 0;
    x = to;
    return m`<rect x="${r1(left)}" y="${r1(y - high / 2)}" width="${r1(Math.max(0.5, wide - gap))}"
      height="${r1(high)}" fill="${d.colours[l] ?? "#999"}"/>`;
  })}`;
}

/** What a wish that leaves room asks for: from here to there, as brackets. */
function brackets(s: LadderScale, r: Ring, y: number): Markup {
  if (!r.held || r.hi - r.lo < 0.05) return m``;
  const one = (v: number, way: number): Markup =>
    Number.isFinite(v) && v > s.lo && v < s.hi
      ? m`<path class="bracket" d="M${r1(xAt(s, v) + 3 * way)} ${y - 8}h${-3 * way}v16h${3 * way}"/>` : m``;
  return m`${one(r.lo, 1)}${one(r.hi, -1)}`;
}

function graph(d: LadderDrawing, r: LadderRow): Markup {
  const y = d.h / 2, s = d.scale, x = r1(xAt(s, r.ring.stops)), now = r1(xAt(s, r.level.stops)),
    tall = Math.min(9, d.h / 2 - 2);
  const value = r1(Number.isFinite(r.ring.stops) ? r.ring.stops : s.lo),
    said = `${signed(r.ring.stops)} stops, ${r.ring.held ? "held" : "free"}`;
  const under = r.level.stops < s.lo, over = r.level.stops > s.hi;
  if (!d.pictured) return m`<svg viewBox="0 0 ${r1(d.w)} ${d.h}" width="${r1(d.w)}" height="${d.h}">
    ${grid(`grid${r.i}`, s, d.h)}</svg>`;
  return m`<svg viewBox="0 0 ${r1(d.w)} ${d.h}" width="${r1(d.w)}" height="${d.h}">
    ${grid(`grid${r.i}`, s, d.h)}${bar(d, r, y)}${brackets(s, r.ring, y)}
<path class="stroke" d="M${now} ${r1(y - tall)}v${r1(2 * tall)}"/>
  ${under || over ? m`<path class="beyond" d="M${now + (over ? -3 : 3)} ${y - 4}l${over ? 4 : -4} 4l${over ? -4
    : 4} 4"/>` : ""}
<g class="handle" data-drag="ring" data-n="${r.i}" data-key="ring${r.i}" role="slider" tabindex="0"
  aria-label="Wanted at ${r.name}" aria-valuemin="${r1(s.lo)}"
 aria-valuemax="${r1(s.hi)}" aria-valuenow="${value}" aria-valuetext="${said}"><rect class="hit0" x="${x - 22}" y="0"
   width="44" height="${d.h}"/>
<circle cx="${x}" cy="${y}" r="${r1(Math.min(7, d.h / 2 - 2.5))}"/></g></svg>`;
}

/** What a row says aloud. */
export function rowWords(r: LadderRow, pictured = true): string {
  if (!pictured) return `${r.n} ${r.name}: ${r.level.f > 0 ? fSpoken(r.level.f) : "dark"}, no camera`;
  if (!Number.isFinite(r.level.stops)) return `${r.n} ${r.name}: dark`;
  const sure = r.sigma > 0.15 ? `, give or take ${r.sigma.toFixed(1)} stop` : "";
  return `${r.n} ${r.name}: ${signed(r.level.stops)} stops from mid-grey, ${fSpoken(r.level.f)}${sure}`;
}

/** Computed no better than this, stops, a figure is marked as about; no better than the other, whole stops are all. */
const about = 0.3, coarse = 0.7;

/** A level with no more figures than it is computed to; a tilde before a minus would be read as two of them. */
const roughly = (stops: number, sigma: number): string => signed(stops, sigma < coarse ? 1 : 0);

export const fNumber = (f: number, sigma = 0): Markup => {
  const [w, t] = fParts(sigma < coarse ? f : 2 ** (Math.round(2 * Math.log2(f)) / 2));
  return f > 0 && Number.isFinite(f)
    ? m`<span class="fn">${sigma < about ? "" : "~"}<i>f/</i>${w}${sigma < coarse ? m`<sup>${t}</sup>` : ""}</span>`
    : m`<span class="fn"><i>dark</i></span>`;
};

function row(d: LadderDrawing, r: LadderRow): Markup {
  const sel = d.selected === r.i, held = r.ring.held, name = capital(r.name);
  const cls = `lrow${sel ? " sel" : ""}${held ? "" : " free"}${r.off ? " two" : ""}`;
  // What was asked of the meter is said as it was asked: its tone moves with the readings.
  const reads = held && r.ring.reads > 0 ? fText(r.ring.reads).replace(" + 0.", "+.") : "";
  const why = r.off ? m`<b>${r.off}</b>${r.why ? `: ${r.why}` : ""}`
    : r.why || (r.sigma > 0.15 ? `give or take ${r.sigma.toFixed(1)} stops` : "");
  const says = rowWords(r, d.pictured);
  return kept(m`<div class="${cls}" data-key="row${r.i}" data-pt="${r.i}" data-act="point" data-n="${r.i}">
    <span class="n">${r.n}</span>
<button class="nm" data-act="point" data-n="${r.i}" data-key="hit${r.i}" aria-pressed="${sel ? "true" : "false"}"
  aria-label="${says}" title="${name}">${name}</button>
<span class="rd" aria-hidden="true" title="${says}">${fNumber(r.level.f, r.sigma)}
  </span><span class="tn" aria-hidden="true"
  title="${says}">
  ${d.pictured ? roughly(r.level.stops, r.sigma) : "\u2013"}</span><span class="g">${graph(d, r)}</span>
<input class="wt${reads.includes("+") ? " fine" : ""}" data-act="wish" data-n="${r.i}" data-key="wish${r.i}"
  data-pick="" value="${reads || (held ? signed(r.ring.stops) : "")}" title="${reads && Number.isFinite(r.ring.stops)
    ? `in the picture ${signed(r.ring.stops)}` : ""}" placeholder="\u2013" inputmode="text"
 autocomplete="off" spellcheck="false" aria-label="Wanted at ${r.name}, stops or f-number">
   <button class="hd" data-act="hold" data-arg="this" data-n="${r.i}" data-key="hold${r.i}"
 aria-pressed="${held ? "true" : "false"}" aria-label="${held ? "held" : "free"}: ${r.name}">
   ${held ? "held" : "free"}</button>
<span class="wy" title="${[r.off, r.why].filter(Boolean).join(": ")}">${why}</span></div>`);
}

/** All rows, and the folded points as one. */
export function ladder(d: LadderDrawing): Markup {
  const s = d.scale, y = d.h / 2, n = d.folded.length;
  const strokes = d.folded.map((f) => m`<path class="stroke" d="M${r1(xAt(s, f.stops))} ${r1(y - 6)}v12"/>`);
  const fold = n === 0 ? "" : kept(m`<div class="lrow fold" data-key="fold"><span class="n"></span><span class="nm">
    ${n} more, all free</span>
<span class="g" aria-hidden="true"><svg viewBox="0 0 ${r1(d.w)} ${d.h}" width="${r1(d.w)}" height="${d.h}">
  ${grid("gridfold", s, d.h)}${strokes}</svg></span>
<button class="lnk hd" data-act="unfold" data-key="unfold" title="U">unfold</button>
  <span class="wy">stroke: as it is; ring: wanted</span></div>`);
  return m`${d.rows.map((r) => row(d, r))}${fold}`;
}
