// The chart of colours of light, CIE 1976 u', v': what can be, where the whites lie, what a head makes, what was asked.
import type { ChartPoint, ChartView, ColourView } from "../model/wire.ts";
import { linearOfUV, tint } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";
import { dot, hull } from "./place.ts";

const lo = [-0.065, -0.03] as const, hi = [0.68, 0.625] as const;

export const chartX = (u: number, w: number): number => ((u - lo[0]) / (hi[0] - lo[0])) * w;
export const chartY = (v: number, h: number): number => h - ((v - lo[1]) / (hi[1] - lo[1])) * h;
export const chartUV = (x: number, y: number, w: number, h: number): [number, number] =>
  [lo[0] + (x / w) * (hi[0] - lo[0]), lo[1] + ((h - y) / h) * (hi[1] - lo[1])];

/** Height that goes with a width, so that a distance looks the same across and up. */
export const chartHeight = (w: number): number => Math.round((w * (hi[1] - lo[1])) / (hi[0] - lo[0]));

export function chart(c: ChartView, asked: ColourView | null, w: number): Markup {
  const h = chartHeight(w), X = (u: number): number => dot(chartX(u, w)), Y = (v: number): number => dot(chartY(v, h));
  const line = (p: readonly ChartPoint[]): string => `M${p.map((q) => `${X(q.u)} ${Y(q.v)}`).join("L")}`;
  const locus = `${line(c.locus)}Z`;
  const nm = c.locus.filter((q) => [450, 480, 500, 520, 550, 580, 600, 650].includes(q.value));
  const at = (k: number) => c.planck.find((q) => Math.abs(q.value / k - 1) < 0.01);
  const dots = [2000, 2500, 3200, 4000, 5600, 6700, 10000].map(at).filter((q) => q !== undefined),
    kelvins = [2500, 4000, 10000].map(at).filter((q) => q !== undefined);
  const g = c.gamut.map((q): [number, number] => [X(q.u), Y(q.v)]);
  const edge = g.length > 2 ? `M${hull(g).map((q) => q.join(" ")).join("L")}Z` : g.length === 2
    ? `M${g.map((q) => q.join(" ")).join("L")}` : "";
  const spot = asked && m`${asked.in_gamut ? ""
    : m`<path class="off" d="M${X(asked.u)} ${Y(asked.v)}L${X(asked.near_u)} ${Y(asked.near_v)}"/>
      <circle class="near" cx="${X(asked.near_u)}" cy="${Y(asked.near_v)}" r="4"/>`}<g class="asked">
    <circle class="under" cx="${X(asked.u)}" cy="${Y(asked.v)}" r="7"/><circle class="over" cx="${X(asked.u)}"
    cy="${Y(asked.v)}" r="7"/>
    <path class="over" d="M${X(asked.u) - 11} ${Y(asked.v)}h8m6 0h8M${X(asked.u)} ${Y(asked.v) - 11}v8m0 6v8"/></g>`;
  const grid = [0.1, 0.2, 0.3, 0.4, 0.5,
    0.6].map((t) => m`<path class="gr" d="M${X(t)} ${Y(0)}V${Y(0.6)}${t < 0.6 ? `M${X(0)} ${Y(t)}H${X(0.62)}` : ""}"/>
      <text x="${X(t)}" y="${Y(0) + 12}" text-anchor="middle">${t.toFixed(1)}</text>
      ${t < 0.6 ? m`<text x="${X(0) - 3}" y="${Y(t) + 3}" text-anchor="end">${t.toFixed(1)}</text>` : ""}`);
  return m`<g class="grid">${grid}<text x="${X(0.62)}" y="${Y(0) - 4}" text-anchor="end">u\u2032</text>
    <text x="${X(-0.05)}" y="${Y(0.6) + 4}">v\u2032</text></g><path class="locus" d="${locus}"/>
    ${nm.map((q) => m`<text class="wl" x="${X(q.u) + (q.u < 0.1 ? -4 : 4)}" y="${Y(q.v) - 5}"
      text-anchor="${q.u < 0.1 ? "end" : "start"}">${q.value}</text>`)}<path class="planck" d="${line(c.planck)}"/>
    ${dots.map((q) => m`<circle class="kp" cx="${X(q.u)}" cy="${Y(q.v)}" r="2"/>`)}${kelvins.map((q) =>
      m`<text class="kt" x="${X(q.u) + 5}" y="${Y(q.v) + 12}">${Math.round(q.value / 100) * 100} K</text>`)}${edge
      ? m`<path class="gamut-u" d="${edge}"/><path class="gamut" d="${edge}"/>`
      : ""}${g.map((q, i) => m`<circle class="prim" cx="${q[0]}" cy="${q[1]}" r="3">
        <title>${c.names[i] ?? c.head}</title></circle>`)}${spot ?? ""}`;
}

/**
 * Fills the inside of the locus with the colours themselves at one
 * luminance; what the display cannot show is drawn towards grey.
 */
export function fillChart(canvas: HTMLCanvasElement, c: ChartView, w: number, y: number): void {
  const h = chartHeight(w), key = `${w} ${y} ${c.locus.length}`;
  if (canvas.dataset.drawn === key) return;
  canvas.dataset.drawn = key;
  canvas.width = w;
  canvas.height = h;
  const ctx = canvas.getContext("2d");
  if (!ctx) return;
  ctx.clearRect(0, 0, w, h);
  const cell = 3;
  ctx.save();
  ctx.beginPath();
  c.locus.forEach((q, i) => (i ? ctx.lineTo(chartX(q.u, w), chartY(q.v, h))
    : ctx.moveTo(chartX(q.u, w), chartY(q.v, h))));
  ctx.closePath();
  ctx.clip();
  for (let py = 0; py < h; py += cell) {
    for (let px = 0; px < w; px += cell) {
      const [u, v] = chartUV(px + cell / 2, py + cell / 2, w, h);
      if (v <= 0.005) continue;
      ctx.fillStyle = tint(linearOfUV(u, v), y);
      ctx.fillRect(px, py, cell, cell);
    }
  }
  ctx.restore();
}
