// The ladder: step wedge on the left, rungs from what is predicted to what is wanted, rings on the right.
import type { Level, Ring } from "../model/light.ts";
import { tone } from "../units/colour.ts";
import { group, kept, m, r1, type Markup } from "../units/markup.ts";
import { clamp, fParts, fSpoken, signed, whole } from "../units/stops.ts";
import { encode } from "../units/colour.ts";
import { hatches, spread } from "./hatch.ts";

export interface LadderRow {
  n: number;
  name: string;
  level: Level;
  ring: Ring;
  sigma: number;
}

export interface LadderDrawing {
  w: number;
  h: number;
  rows: LadderRow[];
  selected: number;
  /** Colour of each layer. */
  colours: string[];
  clip: number;
  floor: number;
  /** Only these whole stops, lowest and highest, so that near rungs stand apart; absent: the sensor's whole range. */
  close?: readonly [number, number];
  tone: { join: number; white: number; power: number };
}

export interface LadderScale { top: number; pps: number; hi: number; lo: number; xL: number; xR: number }

/** The sensor's range in whole stops, lowest and highest. */
const rangeOf = (d: Pick<LadderDrawing, "clip" | "floor">): [number, number] => [Math.min(-4, Math.max(-10, Math.floor(d.floor))), Math.max(2, Math.ceil(d.clip))];

/** The stops that hold all levels and rings, half a stop to spare, three at least. */
export function closeRange(d: Pick<LadderDrawing, "clip" | "floor" | "rows">): [number, number] {
  const [lo, hi] = rangeOf(d), all = d.rows.flatMap((r) => [r.level.stops, r.ring.stops]).filter((v) => v > lo && v < hi);
  if (all.length === 0) return [lo, hi];
  const a = Math.max(lo, Math.floor(Math.min(...all) - 0.5)), b = Math.min(hi, Math.ceil(Math.max(...all) + 0.5));
  return b - a >= 3 ? [a, b] : [Math.max(lo, b - 3), Math.min(hi, Math.max(lo, b - 3) + 3)];
}

export function ladderScale(d: Pick<LadderDrawing, "w" | "h" | "clip" | "floor" | "close">): LadderScale {
  const [lo, hi] = d.close ?? rangeOf(d);
  const top = 36, bottom = 26, narrow = d.w < 420;
  return { top, hi, lo, pps: (d.h - top - bottom) / (hi - lo), xL: narrow ? 186 : Math.min(236, d.w * 0.49), xR: d.w - (narrow ? 104 : 122) };
}

export const stopsAt = (s: LadderScale, y: number): number => s.hi - (y - s.top) / s.pps;

export function ladder(d: LadderDrawing): Markup {
  const s = ladderScale(d), { xL, xR } = s, ww = 22, Y = (v: number) => s.top + (s.hi - v) * s.pps;
  const on = (v: number) => Y(clamp(Number.isFinite(v) ? v : s.lo, s.lo, s.hi));
  const stops = Array.from({ length: s.hi - s.lo + 1 }, (_, i) => s.hi - i);
  const wedge = stops.slice(0, -1).map((k) => {
    const v = Math.round(255 * encode(tone(0.18 * 2 ** (k - 0.5), d.tone)));
    return m`<rect x="${xL - ww}" y="${r1(Y(k))}" width="${ww}" height="${r1(s.pps + 0.4)}" fill="rgb(${v},${v},${v})"/>`;
  });
  const figures = stops.map((k) => {
    const y = k === s.hi ? Y(k) + 10 : k === s.lo ? Y(k) - 4 : Y(k) + 3.5;
    return m`<text class="wn" x="${xL - ww / 2}" y="${r1(y)}" text-anchor="middle" fill="${encode(tone(0.18 * 2 ** k, d.tone)) > 0.5 ? "#1b1b1b" : "#eeeeee"}">${whole(k)}</text>`;
  });
  const lines = stops.map((k) => m`<path d="M${xL} ${r1(Y(k))}H${xR}" class="${k === 0 ? "l0" : "l1"}"/><path class="tick" d="M${xR} ${r1(Y(k))}h6${k > s.lo ? `M${xR} ${r1(Y(k - 0.5))}h3` : ""}"/>`);
  const rowH = Math.min(54, (d.h - s.top - 20) / Math.max(1, d.rows.length)), ringH = Math.min(44, (d.h - s.top - 20) / Math.max(1, d.rows.length));
  const left = spread(d.rows.map((r) => on(r.level.stops)), rowH, s.top + rowH / 2 - 8, d.h - 14 - rowH / 2);
  const right = spread(d.rows.map((r) => on(r.ring.stops)), ringH, s.top + ringH / 2 - 8, d.h - 14 - ringH / 2);
  const order = d.rows.map((_, i) => i).sort((a, b) => (left[a] ?? 0) - (left[b] ?? 0));
  return m`${hatches("ld")}${group("scale", lines, wedge, figures, m`
<path class="rail" d="M${xL - ww} ${Y(s.hi)}H${xL}M${xL - ww} ${Y(s.lo)}H${xL}M${xR} ${Y(s.hi)}V${Y(s.lo)}"/>
${s.hi >= d.clip - 0.01 ? m`<rect x="${xL - ww}" y="${r1(Y(s.hi) - 9)}" width="${ww}" height="9" fill="url(#ld-dense)"/>` : ""}${s.lo <= d.floor + 1 ? m`<rect x="${xL - ww}" y="${r1(Y(s.lo))}" width="${ww}" height="9" fill="url(#ld-dots)"/>` : ""}
<text class="lab" x="${xL + 6}" y="${r1(Y(s.hi) - 5)}">${s.hi >= d.clip - 0.01 ? "" : "above: "}sensor clips ${signed(d.clip)}</text><text class="lab" x="${xL + 6}" y="${r1(Y(s.lo) + 13)}">${s.lo <= d.floor + 1 ? "" : "below: "}noise takes over ${signed(d.floor)}</text>
<text class="cap" x="${xL - ww - 8}" y="14" text-anchor="end">Predicted</text><text class="cap" x="${xR + 10}" y="14">Wanted</text>`)}
${order.map((i) => { const r = d.rows[i]; return r ? kept(rung(d, s, r, i, left[i] ?? 0, right[i] ?? 0, rowH, on)) : m``; })}
${[...order].sort((a, b) => rankOf(d, a) - rankOf(d, b)).map((i) => { const r = d.rows[i]; return r ? kept(ringMark(d, s, r, i, right[i] ?? 0, on)) : m``; })}`;
}

// Held rings lie over free ones, the selected over all.
const rankOf = (d: LadderDrawing, i: number): number => (d.selected === i ? 2 : d.rows[i]?.ring.held ? 1 : 0);

/** The ring that a press at y means: of those near, the selected, else a held one, else the nearest. */
export function ringNear(d: LadderDrawing, y: number): number {
  const s = ladderScale(d);
  const near = d.rows.map((r, i) => ({ i, far: Math.abs(s.top + (s.hi - clamp(r.ring.stops, s.lo, s.hi)) * s.pps - y) })).filter((c) => c.far < 24);
  near.sort((a, b) => a.far - (rankOf(d, a.i) * 5) - (b.far - rankOf(d, b.i) * 5));
  return near[0]?.i ?? -1;
}

function rung(d: LadderDrawing, s: LadderScale, r: LadderRow, i: number, yText: number, _yr: number, rowH: number, on: (v: number) => number): Markup {
  // A rung is as thick across when it is steep.
  const { xL, xR } = s, sel = d.selected === i, y0 = on(r.level.stops), y1 = on(r.ring.stops), dark = !Number.isFinite(r.level.stops);
  const len = xR - xL, th = (sel ? 11 : 8) * Math.min(4, Math.hypot(len, y1 - y0) / len), off = Math.abs(r.level.stops - r.ring.stops) > 0.15;
  let x = 0;
  const parts = r.level.shares.map((v, l) => ({ v, l })).filter((p) => p.v > 0.004).sort((a, b) => b.v - a.v).map(({ v, l }) => {
    const w = v * len, a = y0 + (y1 - y0) * (x / len), b = y0 + (y1 - y0) * ((x + w) / len), gap = w > 4 ? 1 : 0;
    const p = m`<path d="M${r1(xL + x)} ${r1(a - th / 2)}L${r1(xL + x + w - gap)} ${r1(b - th / 2)}v${th}L${r1(xL + x)} ${r1(a + th / 2)}Z" fill="${d.colours[l] ?? "#aaa"}"/>`;
    x += w;
    return p;
  });
  const [fw, ft] = fParts(r.level.f), bx = xL - 44, small = rowH < 44;
  const words = `${r.n} ${r.name}: ${dark ? "dark" : `${signed(r.level.stops)} stops from mid-grey, ${fSpoken(r.level.f)}`}${r.sigma > 0.15 ? `, give or take ${r.sigma.toFixed(1)} stop` : ""}`;
  return m`<g class="rung${sel ? " sel" : ""}" data-key="rung${i}" data-act="point" data-n="${i}">
<rect class="hit" data-act="point" data-n="${i}" data-key="hit${i}" role="button" tabindex="0" aria-pressed="${sel ? "true" : "false"}" aria-label="${words}" x="0" y="${r1(yText - rowH / 2)}" width="${xL - 22}" height="${r1(rowH)}"/><g aria-hidden="true">
<g opacity="${r.ring.held ? 1 : 0.62}">${parts}</g>
${off ? m`<path class="miss" d="M${xL} ${r1(y0)}H${xR}"/><path class="gap" d="M${xR - 7} ${r1(Math.min(y0, y1) + 8)}V${r1(Math.max(y0, y1) - 1)}"/>` : ""}
<path class="lead" d="M${xL - 24} ${r1(y0)}L${xL - 36} ${r1(yText + 4)}h-4"/>
<text class="pn" x="12" y="${r1(yText + (small ? -5 : -9))}">${r.n}</text><text class="pname" x="33" y="${r1(yText + (small ? -5 : -9))}">${short(r.name, bx < 160 ? 18 : 21)}</text>
<text class="plv" x="33" y="${r1(yText + (small ? 11 : 13))}">${signed(r.level.stops)}${r.sigma > 0.15 ? ` ±${r.sigma.toFixed(1)}` : ""}</text>
${dark ? "" : m`<text class="pf${small ? " pf-s" : ""}" x="${bx}" y="${r1(yText + (small ? 14 : 18))}" text-anchor="end"><tspan class="pfi">f/</tspan>${fw}<tspan class="pfs" dy="${small ? -6 : -10}">${ft}</tspan></text>`}</g></g>`;
}

function ringMark(d: LadderDrawing, s: LadderScale, r: LadderRow, i: number, yText: number, on: (v: number) => number): Markup {
  const { xR } = s, sel = d.selected === i, y = on(r.ring.stops), gap = r.level.stops - r.ring.stops, off = r.ring.held && Math.abs(gap) > 0.15;
  const range = r.ring.hi - r.ring.lo > 0.05;
  const yt = off ? yText - 3 : yText + 5;
  const words = `Wanted at ${r.name}`;
  return m`<g class="ring${r.ring.held ? " held" : ""}${sel ? " sel" : ""}" data-key="mark${i}">
<path class="lead" d="M${xR + 8} ${r1(y)}L${xR + 20} ${r1(yText)}h4"/>
${range ? m`<path class="gap" d="M${xR} ${r1(on(r.ring.hi))}V${r1(on(r.ring.lo))}" stroke-width="3"/>` : ""}
<text class="tv" x="${xR + 30}" y="${r1(yt)}">${signed(r.ring.stops)}</text>
<g data-act="hold" data-n="${i}" data-key="hold${i}" role="button" tabindex="0" aria-pressed="${r.ring.held ? "true" : "false"}" aria-label="${r.ring.held ? "held" : "free"}: ${r.name}"><rect class="hit0" x="${xR + 66}" y="${r1(yt - 20)}" width="54" height="28"/><text class="lk" x="${xR + 74}" y="${r1(yt - 1)}">${r.ring.held ? "held" : "free"}</text></g>
${off ? m`<text class="why" x="${xR + 30}" y="${r1(yText + 12)}">${Math.abs(gap).toFixed(1)} st ${gap < 0 ? "short" : "over"}</text>` : ""}
<g class="handle" data-drag="ring" data-n="${i}" data-key="ring${i}" role="slider" tabindex="0" aria-orientation="vertical" aria-label="${words}" aria-valuemin="${s.lo}" aria-valuemax="${s.hi}" aria-valuenow="${r1(Number.isFinite(r.ring.stops) ? r.ring.stops : s.lo)}" aria-valuetext="${signed(r.ring.stops)} stops, ${r.ring.held ? "held" : "free"}"><rect class="hit0" x="${xR - 22}" y="${r1(y - 22)}" width="44" height="44"/><circle cx="${xR}" cy="${r1(y)}" r="${sel ? 8.5 : 7}"/></g></g>`;
}

const short = (t: string, n: number): string => { const c = t.charAt(0).toUpperCase() + t.slice(1); return c.length <= n ? c : `${c.slice(0, n - 1).trimEnd()}…`; };
