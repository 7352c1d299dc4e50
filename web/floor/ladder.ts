// The rung of one point: from what is predicted on the left to what is read on the right,
// cut into the lights' shares.
import { m, type Markup } from "../src/units/markup.ts";
import type { Share } from "./wire.ts";

const high = 44; // px a stop

export function rung(off: number, shares: readonly Share[]): Markup {
  const y = (s: number): number => 120 - s * high, end = Math.max(-2.5, Math.min(2.5, off));
  const lines = [-2, -1, 0, 1, 2].map((s) =>
    m`<path d="M36 ${y(s)}H104" stroke="var(--hair)" stroke-dasharray="1.5 3"/>
    <text x="28" y="${y(s) + 4}" text-anchor="end" font-size="11" fill="var(--ink-2)">
    ${s === 0 ? "0" : (s > 0 ? "+" : "−") + Math.abs(s)}</text>`);
  let x = 36;
  const at = (q: number): number => y(0) + ((y(end) - y(0)) * (q - 36)) / 68;
  const whole = shares.reduce((a, s) => a + s.share, 0) || 1;
  const bars = shares.map((s) => {
    const w = (s.share / whole) * 68,
      p = m`<path d="M${x} ${at(x) - 5}L${x + w} ${at(x + w) - 5}v10L${x} ${at(x) + 5}Z" fill="${s.colour}"/>`;
    x += w;
    return p;
  });
  const words = off === 0 ? "as predicted"
    : `${Math.abs(off).toFixed(1)} stops ${off > 0 ? "brighter" : "darker"} than predicted`;
  return m`<svg viewBox="0 0 116 240" preserveAspectRatio="xMaxYMid meet" role="img" aria-label="${words}">
    <path d="M36 8V232M104 8V232" stroke="var(--line)"/>${lines}${bars}
    <circle cx="104" cy="${y(end)}" r="7" fill="var(--well)" stroke="var(--ink-0)" stroke-width="2"/></svg>`;
}
