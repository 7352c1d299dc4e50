// What is drawn about a thing in the hand: lines that it keeps to,
// distances to walls and to the face, why it cannot be there.
import { angleAtFace, faceOfSitter, insideRoom, wallsOf, type V3 } from "../model/things.ts";
import type { SetupView } from "../model/wire.ts";
import { m, type Markup } from "../units/markup.ts";
import { lengthText } from "../units/stops.ts";
import { dimension } from "./hatch.ts";
import { dot, px, py, pz, sx, type Place } from "./place.ts";

export interface Held {
  what: string;
  at: V3;
  view: "plan" | "section";
  lines: readonly { axis: 0 | 1 | 2; at: number }[];
  why: string;
  feet: boolean;
}

/** Distances to what lies straight along the axes: the nearer wall on each. */
function toWalls(v: SetupView, at: V3): { to: V3; far: number }[] {
  const out: { to: V3; far: number }[] = [];
  for (const axis of [0, 1] as const) {
    const other = axis === 0 ? 1 : 0;
    let best: { to: V3; far: number } | null = null;
    for (const w of wallsOf(v)) {
      if (Math.abs(w.into[axis]) < 0.999) continue; // square to the axis
      const along = (at[0] - w.a[0]) * w.u[0] + (at[1] - w.a[1]) * w.u[1];
      if (along < 0 || along > w.len) continue;
      const to: V3 = axis === 0 ? [w.a[0], at[other], at[2]] : [at[other], w.a[1], at[2]],
        far = Math.abs(at[axis] - w.a[axis]);
      if (!best || far < best.far) best = { to, far };
    }
    if (best && best.far > 0.05) out.push(best);
  }
  return out;
}

export function holding(v: SetupView, p: Place, h: Held): Markup {
  const text = (d: number) => lengthText(d, h.feet), face = faceOfSitter(v), [x0] = p.lo, [x1, y1] = p.hi;
  const X = h.view === "plan" ? px(p, h.at[0]) : sx(p, h.at[0]), Y = h.view === "plan" ? py(p, h.at[1])
    : pz(p, h.at[2]);
  const guide = (d: string): Markup => m`<path class="guide" d="${d}"/>`, stacked = p.x0 === p.xSec;
  const guides = h.lines.map((l) => {
    if (l.axis === 1) return guide(`M${dot(px(p, x0))} ${dot(py(p, l.at))}H${dot(px(p, x1))}`);
    if (l.axis === 2) return guide(`M${dot(sx(p, x0))} ${dot(pz(p, l.at))}H${dot(sx(p, x1))}`);
    const plan = `M${dot(px(p, l.at))} ${dot(py(p, y1))}V${dot(stacked ? pz(p, 0) : py(p, p.lo[1]))}`;
    return guide(stacked ? plan : `${plan}M${dot(sx(p, l.at))} ${dot(pz(p, p.ceiling))}V${dot(pz(p, 0))}`);
  });
  const dims = h.view === "plan" && insideRoom(v, h.at[0], h.at[1])
    ? toWalls(v, h.at).map((w) => dimension(px(p, w.to[0]), py(p, w.to[1]), X, Y, text(w.far))) : [];
  const up = h.view === "section" && h.at[2] > 0.05 ? dimension(X + 14, pz(p, 0), X + 14, Y, text(h.at[2])) : m``;
  const far = face && h.what !== "sitter" ? Math.hypot(h.at[0] - face[0], h.at[1] - face[1], h.at[2] - face[2]) : 0,
    a = far > 0 ? angleAtFace(v, h.at) : null;
  const fx = face ? (h.view === "plan" ? px(p, face[0]) : sx(p, face[0])) : 0,
    fy = face ? (h.view === "plan" ? py(p, face[1]) : pz(p, face[2])) : 0;
  const line = face && far > 0.05 ? m`<path class="guide" d="M${dot(fx)} ${dot(fy)}L${dot(X)} ${dot(Y)}"/>
    <text class="note" x="${dot((fx + X) / 2)}" y="${dot((fy + Y) / 2 - 4)}" text-anchor="middle">
    ${text(far)}${a && h.view === "plan" && h.what !== "camera" ? `, ${angleText(a.side)}`
      : a && h.view === "section" ? `, ${a.up < 0 ? "\u2212" : ""}${Math.abs(Math.round(a.up))}°` : ""}</text>` : m``;
  const right = X > (h.view === "plan" ? px(p, x0) + px(p, x1) : sx(p, x0) + sx(p, x1)) / 2;
  return m`<g class="holding" data-key="holding">${guides}${dims}${up}${line}${h.why
    ? m`<text class="why-not" x="${dot(X + (right ? -26 : 26))}" y="${dot(Y - 14)}" text-anchor="${right ? "end"
      : "start"}">${h.why}</text>` : ""}</g>`;
}

/** 'camera left 45°' of an angle at the face. */
export const angleText = (side: number): string => {
  const d = Math.round(side);
  return d === 0 ? "on the camera's line" : Math.abs(d) === 180 ? "straight behind"
    : `camera ${d > 0 ? "right" : "left"} ${Math.abs(d)}°`;
};
