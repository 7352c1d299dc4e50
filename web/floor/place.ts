// The setup from above, with the lights that are mine as heavy marks.
import { m, type Markup } from "../src/units/markup.ts";
import type { Place } from "./wire.ts";

export function drawn(p: Place, mine: string): Markup {
  const xs = p.outline.map((q) => q[0]), ys = p.outline.map((q) => q[1]);
  if (xs.length < 3) return m``;
  const lo = [Math.min(...xs), Math.min(...ys)] as const, hi = [Math.max(...xs), Math.max(...ys)] as const;
  const k = 360 / Math.max(hi[0] - lo[0], 0.1), pad = 22;
  const X = (x: number): number => Math.round((pad + (x - lo[0]) * k) * 10) / 10, Y = (y: number): number =>
    Math.round((pad + (hi[1] - y) * k) * 10) / 10;
  const h = (hi[1] - lo[1]) * k + 2 * pad, taken: [number, number, number][] = [];
  const label = (x: number, y: number, name: string, heavy: boolean): Markup => {
    const wide = name.length * 7.6, over = x + wide > 380, from = over ? x - 12 - wide : x + 12;
    const meets = (): boolean => taken.some(([l, r, t]) => l < from + wide && from < r && Math.abs(t - y) < 16);
    for (let n = 0; n < 12 && meets(); n++) y += 16;
    taken.push([from, from + wide, y]);
    return m`<text x="${over ? x - 12 : x + 12}" y="${y + 4}" text-anchor="${over ? "end" : "start"}" font-size="14"
      font-weight="${heavy ? 600 : 400}" fill="${heavy ? "var(--ink-0)" : "var(--ink-1)"}">${name}</text>`;
  };
  const light = p.lights.map((l) => {
    const my = mine !== "" && l.mine.includes(mine), x = X(l.at[0]), y = Y(l.at[1]), dx = l.aim[0] - l.at[0],
      dy = l.aim[1] - l.at[1], n = Math.hypot(dx, dy) || 1;
    const w = Math.max(10, l.width * k) / 2, ux = dx / n, uy = -dy / n;
    return m`<path d="M${x} ${y}l${ux * 30} ${uy * 30}" stroke="var(--line-2)" stroke-dasharray="9 3 1.5 3"/>
      <path d="M${x - uy * w} ${y + ux * w}L${x + uy * w} ${y - ux * w}" stroke="var(--ink-0)"
        stroke-width="${my ? 6 : 2}"/>
      ${my ? m`<circle cx="${x}" cy="${y}" r="9" fill="none" stroke="var(--ink-0)" stroke-width="2"/>` : ""}
      ${label(x, y - 12, `${l.name} ${l.height.toFixed(2)} m`, my)}`;
  });
  const cam = p.camera && p.aim ? (() => { const x = X(p.camera[0]), y = Y(p.camera[1]),
    a = Math.atan2(-(p.aim[1] - p.camera[1]), p.aim[0] - p.camera[0]); const q = (t: number, r: number): string =>
    `${x + r * Math.cos(a + t)} ${y + r * Math.sin(a + t)}`;
    return m`<path d="M${x} ${y}L${q(-0.35, 26)}M${x} ${y}L${q(0.35, 26)}" stroke="var(--ink-1)"/>
    ${label(x, y, "camera", false)}`; })() : "";
  const sit = p.sitter ? m`<circle cx="${X(p.sitter[0])}" cy="${Y(p.sitter[1])}" r="${0.24 * k}"
    fill="none" stroke="var(--ink-1)" stroke-width="1.4"/>` : "";
  return m`<svg viewBox="0 0 ${360 + 2 * pad} ${h}" role="img" aria-label="the setup from above">
    <path d="M${p.outline.map((q) => `${X(q[0])} ${Y(q[1])}`).join("L")}Z"
      fill="none" stroke="var(--ink-1)" stroke-width="4"/>${sit}${cam}${light}</svg>`;
}
