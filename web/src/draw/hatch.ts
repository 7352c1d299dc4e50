// Hatches and dimension lines, the same in every drawing.
import { kept, m, r1, type Markup } from "../units/markup.ts";

export function hatches(id: string): Markup {
  return kept(m`<defs data-key="${id}-hatches"><pattern id="${id}-dof" width="5" height="5"
    patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="h-thin" d="M0 0V5"/></pattern>
    <pattern id="${id}-dense" width="2.6" height="2.6" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">
    <path class="h-heavy" d="M0 0V2.6"/></pattern><pattern id="${id}-dots" width="4" height="4"
    patternUnits="userSpaceOnUse"><circle class="h-dot" cx="1" cy="1" r=".8"/><circle class="h-dot" cx="3" cy="3"
    r=".8"/></pattern></defs>`);
}

/** A dimension with 45° ticks, figures above the line, reading left to right or bottom to top. */
export function dimension(x1: number, y1: number, x2: number, y2: number, text: string, below = false): Markup {
  const dx = x2 - x1, dy = y2 - y1, len = Math.hypot(dx, dy);
  if (len < 1) return m``;
  const ux = (dx / len) * 4, uy = (dy / len) * 4;
  let a = (Math.atan2(dy, dx) * 180) / Math.PI;
  if (a >= 90) a -= 180;
  if (a < -90) a += 180;
  const tick = (x: number, y: number) => `M${r1(x - ux + uy)} ${r1(y - uy - ux)}L${r1(x + ux - uy)} ${r1(y + uy + ux)}`;
  return m`<g class="dim"><path d="M${r1(x1)} ${r1(y1)}L${r1(x2)} ${r1(y2)}${tick(x1, y1)}${tick(x2, y2)}"/>
    <text transform="translate(${r1((x1 + x2) / 2)} ${r1((y1 + y2) / 2)}) rotate(${r1(a)})" y="${below ? 11 : -4}"
    text-anchor="middle">${text}</text></g>`;
}

/** Pushes wanted places on a line apart to at least gap, inside lo and hi, keeping their order. */
export function spread(wanted: readonly number[], gap: number, lo: number, hi: number): number[] {
  const order = wanted.map((y, i) => ({ y, i })).sort((a, b) => a.y - b.y || a.i - b.i);
  const g = order.length > 1 ? Math.min(gap, (hi - lo) / (order.length - 1)) : gap;
  for (let round = 0; round < 80; round++) {
    for (let k = 0; k + 1 < order.length; k++) {
      const a = order[k], b = order[k + 1];
      if (!a || !b) continue;
      const d = g - (b.y - a.y);
      if (d > 0) { a.y -= d / 2; b.y += d / 2; }
    }
    const first = order[0], last = order[order.length - 1];
    if (first && first.y < lo) first.y = lo;
    if (last && last.y > hi) last.y = hi;
  }
  for (let k = 1; k < order.length; k++) {
    const a = order[k - 1], b = order[k];
    if (a && b && b.y - a.y < g - 1e-6) b.y = a.y + g;
  }
  for (let k = order.length - 1, most = hi; k >= 0; k--) {
    const a = order[k];
    if (a) { if (a.y > most) a.y = most; most = a.y - g; }
  }
  const out: number[] = [];
  for (const o of order) out[o.i] = o.y;
  return out;
}
