// Contours on plan and section: whole stops, labelled where there is room.
import { mixed, type Grid } from "../model/fields.ts";
import type { FieldsView, LightView, SetupView } from "../model/wire.ts";
import { m, type Markup } from "../units/markup.ts";
import { fParts, whole } from "../units/stops.ts";
import { contours, lengthOf, type Line } from "./contours.ts";
import { Labels, widthOf } from "./labels.ts";
import { dot, px, py, pz, sx, type Place } from "./place.ts";

export interface ContourLook {
  kind: "meter" | "lights";
  fields: FieldsView;
  /** Weight of each layer of the fields: setting × time. */
  weight: readonly number[];
  iso: number;
  aperture: number;
  /** The key's reading at the face, lx·s: what zero is for lights each by itself. */
  ref: number;
  /** Path of the selected light. */
  light: string;
  colour: (l: LightView) => string;
  old: boolean;
}

interface Drawn { line: Line; level: number; label: string; stroke: string; dash: boolean; quiet: boolean }

const most = 12, least = -12;

/** Whole levels that a grid has lines for. */
function levelsOf(g: Grid): number[] {
  let lo = Infinity, hi = -Infinity;
  for (const v of g.v) { if (v > hi) hi = v; if (v < lo) lo = v; }
  const out: number[] = [];
  for (let k = Math.max(least, Math.ceil(lo)); k <= Math.min(most, Math.floor(hi)); k++) out.push(k);
  return out;
}

function sumLines(look: ContourLook): Drawn[] {
  // f² = H·ISO/C: whole f-stops are whole numbers of log2 of that.
  const g = mixed(look.fields, look.weight), up = Math.log2(look.iso / look.fields.constant);
  for (let i = 0; i < g.v.length; i++) g.v[i] = (g.v[i] ?? 0) + up;
  const set = Math.round(2 * Math.log2(look.aperture));
  return levelsOf(g).flatMap((k) =>
    contours(g, k).map((line) => ({ line, level: k - set, label: `f/${fParts(2 ** (k / 2))[0]}`, stroke: "",
      dash: false, quiet: false })));
}

function lightLines(v: SetupView, look: ContourLook): Drawn[] {
  const up = -Math.log2(look.ref);
  return look.fields.layers.flatMap((f, n) => {
    const l = v.lights.find((x) => x.name === f.name && x.layer >= 0);
    if (!l || !((look.weight[n] ?? 0) > 0)) return [];
    const g = mixed(look.fields, look.weight.map((w, k) => (k === n ? w : 0)));
    for (let i = 0; i < g.v.length; i++) g.v[i] = (g.v[i] ?? 0) + up;
    const selected = look.light === l.path, all = levelsOf(g).filter((k) => k >= -6 && k <= 6);
    // Unselected: few lines, about the light's level at the sitter.
    const near = v.sitter ? Math.round(valueAt(g, v.sitter.at[0], look.fields.upright
      ? v.sitter.landmarks.face?.[2] ?? 1.5 : v.sitter.at[1])) : 0,
      mid = Math.max(-4, Math.min(3, near, (all[all.length - 1] ?? 0) - 1));
    const levels = selected ? all : all.filter((k) => (look.light ? k === mid : Math.abs(k - mid) <= 1));
    return levels.flatMap((k) =>
      contours(g, k).map((line) => ({ line, level: k, label: whole(k), stroke: look.colour(l), dash: !l.flash,
        quiet: look.light !== "" && !selected })));
  });
}

/** The value at a place, of the cell that it lies in. */
export function valueAt(g: Grid, x: number, y: number): number {
  const i = Math.round((x - g.x) / g.dx), j = Math.round((y - g.y) / g.dy);
  return g.v[Math.max(0, Math.min(g.ny - 1, j)) * g.nx + Math.max(0, Math.min(g.nx - 1, i))] ?? 0;
}

/** taken: words of the drawing that these keep clear of. */
export function contourLines(v: SetupView, p: Place, look: ContourLook, taken: Labels): Markup {
  const up = look.fields.upright, Y = (y: number) => (up ? pz(p, y) : py(p, y)),
    X = (x: number) => (up ? sx(p, x) : px(p, x));
  const all = (look.kind === "meter" ? sumLines(look) : lightLines(v, look)).filter((d) => lengthOf(d.line) > 0.3);
  const [x0, x1] = [X(p.lo[0]) + 4, X(p.hi[0]) - 4], [y0, y1] = up ? [pz(p, p.ceiling) + 4, pz(p, 0) - 4]
    : [py(p, p.hi[1]) + 4, py(p, p.lo[1]) - 4];
  const labels = [...all].sort((a, b) => lengthOf(b.line) - lengthOf(a.line)).map((d) => {
    const w = widthOf(d.label, 11) + 4, h = 13, pts = d.line.points;
    for (let k = 1; k <= 16; k++) {
      const q = pts[Math.floor((pts.length * ((k * 0.382) % 1)))];
      if (!q) continue;
      const b = { x: X(q[0]) - w / 2, y: Y(q[1]) - h / 2, w, h };
      if (b.x < x0 || b.x + w > x1 || b.y < y0 || b.y + h > y1 || taken.cost(b) > 0) continue;
      taken.keep(b);
      return m`<text class="cl${d.quiet ? " quiet" : ""}" x="${dot(b.x + w / 2)}" y="${dot(b.y + 10)}"
        text-anchor="middle" ${d.stroke ? m`fill="${d.stroke}"` : ""}>${d.label}</text>`;
    }
    return m``;
  });
  const path = (d: Drawn) =>
    `M${d.line.points.map((q) => `${dot(X(q[0]))} ${dot(Y(q[1]))}`).join("L")}${d.line.closed ? "Z" : ""}`;
  return m`<g class="contours${look.old ? " old" : ""}" data-key="contours${up ? "-section" : ""}"
    clip-path="url(#${up ? "sec" : "room"})" data-n="${all.length}"
    data-levels="${[...new Set(all.map((d) => d.label))].join(" ")}">
    ${all.map((d) => m`<path class="ct ${d.level === 0 ? "c0" : d.level > 0 ? "cup" : "cdown"}${d.dash ? " dash"
      : ""}${d.quiet ? " quiet" : ""}" d="${path(d)}" ${d.stroke ? m`stroke="${d.stroke}"` : ""}/>`)}${labels}</g>`;
}
