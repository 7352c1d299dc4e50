// The ladder's part of the page: what its rows say, and the axis that holds still while a hand moves.
import { ladder, ladderHead, ladderHistogram, ladderScale, type LadderDrawing, type LadderRow,
  type LadderScale } from "../draw/ladder.ts";
import { hatches } from "../draw/hatch.ts";
import { attribute, put } from "../draw/morph.ts";
import { levels, ringOf } from "../model/light.ts";
import { capital, wholeName } from "../model/names.ts";
import { numberOf } from "../model/numbers.ts";
import { rowsOf } from "../model/rows.ts";
import type { LightView, PointJSON, SetupView } from "../model/wire.ts";
import { why } from "../model/why.ts";
import { trialOf, type Page } from "../state/store.ts";
import { chip } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";
import { fText, minus, signed } from "../units/stops.ts";
import { button } from "./button.ts";
import { staleWhy } from "./says.ts";

/** What the histogram is of: shares in bins of an eighth of a stop from lo. */
export interface Bins { bins: Float32Array; lo: number }

const $ = (id: string): Element => {
  const e = document.getElementById(id);
  if (!e) throw new Error(`no ${id}`);
  return e;
};

export class LadderPart {
  drawing: LadderDrawing | null = null;
  private scale: LadderScale | null = null;
  private rows: number[] = [];

  constructor(private readonly size: (e: Element) => readonly [number, number],
    private readonly colour: (p: Page) => (l: LightView) => string) {}

  draw(p: Page, hist: Bins | null): void {
    const v = p.view, r = p.readings;
    if (!v) { put($("lad"), m``); put($("ladhead"), m``); put($("foot"), m``); this.drawing = null; return; }
    if (v.points.length === 0) { this.none(p, v); return; }
    if (!r || r.units.length !== v.points.length) {
      put($("foot"), m`<p role="status">Reading the light…</p>`);
      if (!r) { put($("lad"), m``); this.drawing = null; }
      return;
    }
    const d = this.drawingOf(p, v);
    if (!d) return;
    this.drawing = d;
    this.head(p, v, d, hist);
    put($("lad"), ladder(d), p.drag !== null);
    put($("foot"), foot(p, d, v));
  }

  /** A setup without points says how to come by one. */
  private none(p: Page, v: SetupView): void {
    this.drawing = null;
    put($("ladhead"), m`<b class="t">Ladder</b>`);
    put($("lad"), m`<p class="none">No points yet. ${v.camera
      ? "Click into the picture to read a spot, and keep it as a point."
      : "Add a camera, then click into the picture to keep spots as points."} ${v.sitter ? ""
      : m`A sitter brings the points of face and body along: ${button(p, "addsitter", "add a sitter",
        { cls: "lnk" })}`}</p>`);
    put($("foot"), m``);
  }

  private drawingOf(p: Page, v: SetupView): LadderDrawing | null {
    const r = p.readings;
    if (!r) return null;
    const lv = levels(v, r, trialOf(p), p.solo),
      byLayer = r.readings.layers.map((_, i) => v.lights.find((l) => l.layer === i)), colour = this.colour(p);
    const all = v.points.map((q, i): LadderRow => {
      const l = lv[i] ?? { stops: -Infinity, f: 0, shares: [], onPicture: false };
      let ring = ringOf(v, r, i, lv);
      if (p.drag?.what === "ring" && p.drag.path === q.name && p.drag.stops !== undefined) {
        ring = { ...ring, held: true, stops: p.drag.stops, lo: p.drag.stops, hi: p.drag.stops, reads: 0 };
      }
      const gap = l.stops - ring.stops, off = ring.held && !ring.met && p.solo === "";
      const point = r.readings.points[i], known = point ? knownTo(point) : 0, sigma = point ? computedTo(point) : 0,
        first = !off || Math.abs(gap) > Math.max(ring.alone ? known : 0, 2 * sigma) ? ""
          : r.word === "first" && 2 * sigma >= Math.abs(gap) ? `computed to ±${sigma.toFixed(1)} st so far, it goes on`
          : ring.alone ? `known to ±${known.toFixed(1)} st only: meter it first` : "";
      return {
        i, n: numberOf(p.numbers, q.name) || i + 1, name: q.name, level: l, ring,
          sigma,
        off: off ? (Number.isFinite(gap) ? `${Math.abs(gap).toFixed(1)} ${gap < 0 ? "short" : "over"}` : "dark") : "",
        why: off ? first || why(gap, l.shares, byLayer, q.name)
          : ring.held && p.solo === "" ? `as asked: ${asked(ring.words)}` : "",
      };
    });
    // Nothing comes or goes while a hand moves something, and the axis stands.
    if (!p.drag || this.rows.some((i) => i >= all.length)) this.rows = rowsOf(p);
    const c = v.camera, cell = $("ladhead").querySelector(".gw"), w = cell ? this.size(cell)[0] : 210,
      clip = c?.clip_stops ?? 3, floor = c?.floor_stops ?? -9;
    const wants = all.filter((x) => x.ring.held).flatMap((x) => [x.ring.stops, x.level.stops]),
      shown = [...wants, ...this.rows.map((i) => all[i]?.level.stops ?? 0)];
    if (!p.drag || !this.scale || Math.abs(this.scale.x1 + 8 - w) > 1) this.scale = ladderScale(w, clip, floor, shown);
    const many = this.rows.length, narrow = w < 160, h = innerWidth < 700 ? 20 : innerWidth < 1241 ? 30 : many > 14
      ? 19 : many > 8 ? 25 : narrow ? 27 : 31;
    return {
      w, h, rows: this.rows.flatMap((i) => (all[i] ? [all[i]] : [])), selected: p.point,
        colours: byLayer.map((l) => (l ? colour(l) : "rgb(150,150,150)")), scale: this.scale,
      pictured: c !== undefined,
      folded: all.filter((x) => !this.rows.includes(x.i)).map((x) => ({ stops: x.level.stops, ring: x.ring.stops })),
    };
  }

  private head(p: Page, v: SetupView, d: LadderDrawing, hist: Bins | null): void {
    const c = v.camera, clip = c?.clip_stops ?? 3, floor = c?.floor_stops ?? -9,
      curve = c?.exposure.tone ?? { join: 0.5, white: 1.404, power: 1.8 };
    const old = staleWhy(p), bins = hist && c ? ladderHistogram(hist.bins, hist.lo, d.scale) : m``,
      free = v.points.length - p.view!.look.length > 1;
    const fold = d.folded.length === 0 && free && d.rows.length > 4 ? button(p, "unfold", "fold", { cls: "lnk" }) : "";
    put($("ladhead"), m`<div class="t"><h2>Ladder</h2>${old ? m`<small class="old">${old}</small>`
      : button(p, "reach", "balance", { cls: "lnk" })}${fold}</div>
      <span class="r">meter<br>reads</span><span class="r" title="in stops from mid-grey">picture,<br>stops</span>
<span class="gw"><svg role="img" aria-label="Histogram and tones in stops from mid-grey; the sensor clips at ${signed(
  clip)}, noise takes over at ${signed(floor)}" viewBox="0 0 ${d.w} 50" width="${d.w}" height="50">
  ${hatches("ld")}${bins}${ladderHead(d.scale, clip, floor, curve)}</svg></span>
<span class="r">wanted</span><span></span><span class="wyh">how far off, and why</span>`);
    const cls = `ladder${d.rows.length > 14 ? " open" : d.rows.length > 8 ? " many" : ""}${p.solo ? " solo" : ""}`;
    attribute($("ladder"), "class", cls);
  }
}

/** How well a point's figures are computed by now, stops: what time alone mends. */
const computedTo = (q: PointJSON): number => Math.max(q.error_stops, q.stops_error_stops);

/** How well they are known: that, and what kit, house and room are known to. */
const knownTo = (q: PointJSON): number => Math.hypot(q.uncertainty_stops, computedTo(q));

/** The words of a wish, for showing. */
const asked = (words: string): string => minus(words).replace(/ \+ 0\.0\b/, "");

/** The selected row in a sentence, and the lights that do it. */
function foot(p: Page, d: LadderDrawing, v: SetupView): Markup {
  const r = d.rows.find((x) => x.i === p.point);
  if (p.solo) {
    const l = v.lights.find((x) => x.path === p.solo);
    return m`<p role="status"><b>${l ? wholeName(l) : "One light"} alone:</b> rows show its light by itself. Wishes
      are judged with all lights together. ${button(p, "unsolo", "all lights", { cls: "lnk" })}</p>`;
  }
  if (!r) return m``;
  const gap = r.level.stops - r.ring.stops,
    n = p.ways && p.ways.ways.name === v.name && p.ways.ways.missed.some((x) => x.words.startsWith(r.name))
      ? p.ways.ways.ways.length : 0;
  const amount = Number.isFinite(gap)
    ? `is ${Math.abs(gap).toFixed(1)} stops ${gap < 0 ? "short of" : "over"} ${r.ring.reads > 0 ? fText(r.ring.reads)
      : signed(r.ring.stops)}` : "is dark";
  const says = r.off
    ? m`<b>${r.n} ${capital(r.name)} ${amount}.</b> ${capital(r.why)}. ${button(p, "pane", n ? `${n} ways out`
      : "ways out", { arg: "ways", cls: "lnk", key: "foot-ways" })}`
    : m`<b>${r.n} ${capital(r.name)}</b> ${r.ring.held ? asked(r.ring.words) || "held"
      : "is free: it follows the light"}.`;
  const shares = r.level.shares.map((share, l) => ({ share, l })).filter((x) => x.share > 0.005)
    .sort((a, b) => b.share - a.share);
  const light = (l: number): LightView | undefined => v.lights.find((x) => x.layer === l),
    name = (l: number): string => { const x = light(l); return x ? wholeName(x) : ""; };
  const colour = (l: number): string => {
    const x = light(l);
    return x ? chip(x.tint, p.theme) : "#999";
  };
  const known = p.readings?.readings.points[p.point], same = known?.name === v.points[p.point]?.name
    && known?.stops !== null;
  // How well it is known is said once.
  const rests = !known || !same || r.why.startsWith("computed to") ? ""
    : r.why.startsWith("known to") ? ` It rests on: ${known.rests_on}.`
    : ` Known to ±${Math.max(0.1, knownTo(known)).toFixed(1)} stops: ${
      computedTo(known) > known.uncertainty_stops ? "still being computed" : known.rests_on}.`;
  return m`<p role="status">${says}${rests}${p.asking ? " Balancing…" : ""}</p>
    <div class="sh" aria-hidden="true">
    ${shares.map((x) => m`<i data-css="flex-grow:${(x.share * 1000).toFixed(0)};background:${d.colours[x.l] ??
      "#999"}"></i>`)}</div>
<div class="cb">${shares.slice(0, 6)
  .map((x) => m`<span><u data-css="background:${colour(x.l)}"></u>
    ${name(x.l)} ${Math.round(x.share * 100)} %</span>`)}${shares.length > 6
  ? m`<span>${shares.length - 6} others</span>` : ""}</div>`;
}
