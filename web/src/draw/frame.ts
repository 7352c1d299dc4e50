// What lies over the picture: numbered balloons on leaders, so that no face is covered, and the spot that was read.
import type { PointView } from "../model/wire.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { clamp } from "../units/stops.ts";

/** Where the picture lies inside its mount. */
export interface Box { x: number; y: number; w: number; h: number }

/** The largest box of the picture's shape inside a mount, with air round it. */
export function opening(w: number, h: number, aspect: number, air = 10): Box {
  const bw = Math.max(1, w - 2 * air), bh = Math.max(1, h - 2 * air);
  const pw = Math.min(bw, bh * aspect), ph = pw / aspect;
  return { x: (w - pw) / 2, y: (h - ph) / 2, w: pw, h: ph };
}

const R = 11;

/** Places balloons: of twelve directions and three lengths each takes the one that crosses least of what is there already. */
export function balloons(crosses: readonly [number, number][], box: Box): [number, number][] {
  const placed: [number, number][] = [];
  const cx = crosses.reduce((a, c) => a + c[0], 0) / Math.max(1, crosses.length);
  for (const [x, y] of crosses) {
    let best: [number, number] = [x, y], least = Infinity;
    for (const len of [34, 52, 74]) {
      for (let a = 0; a < 12; a++) {
        const bx = x + len * Math.cos((a * Math.PI) / 6), by = y + len * Math.sin((a * Math.PI) / 6);
        let cost = len * 0.25 - Math.sign(x - cx) * (bx - x) * 0.12;
        if (bx < box.x + R + 3 || bx > box.x + box.w - R - 3 || by < box.y + R + 3 || by > box.y + box.h - R - 3) cost += 200;
        for (const [px, py] of placed) cost += 90 * clamp((3 * R - Math.hypot(px - bx, py - by)) / R, 0, 3);
        for (const [px, py] of crosses) if (px !== x || py !== y) cost += 60 * clamp((2.4 * R - Math.hypot(px - bx, py - by)) / R, 0, 3) + 14 * clamp((R - between(px, py, x, y, bx, by)) / R, 0, 1);
        if (cost < least) { least = cost; best = [bx, by]; }
      }
    }
    placed.push(best);
  }
  return placed;
}

// Distance from p to the segment a–b.
function between(px: number, py: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax, dy = by - ay, t = clamp(((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy || 1), 0, 1);
  return Math.hypot(px - ax - t * dx, py - ay - t * dy);
}

export function frameMarks(w: number, h: number, box: Box, points: readonly PointView[], selected: number, spot: { x: number; y: number } | null, names: readonly string[]): Markup {
  const seen = points.map((p, i) => ({ p, i })).filter(({ p }) => p.picture && p.picture[0] > 0 && p.picture[0] < 1 && p.picture[1] > 0 && p.picture[1] < 1);
  const crosses = seen.map(({ p }): [number, number] => [box.x + (p.picture?.[0] ?? 0) * box.w, box.y + (p.picture?.[1] ?? 0) * box.h]);
  const at = balloons(crosses, box);
  const marks = seen.map(({ i }, k) => {
    const [x, y] = crosses[k] ?? [0, 0], [bx, by] = at[k] ?? [0, 0], len = Math.hypot(bx - x, by - y) || 1, t = (len - R) / len;
    const d = `M${r1(x - 5)} ${r1(y)}h10M${r1(x)} ${r1(y - 5)}v10M${r1(x)} ${r1(y)}L${r1(x + (bx - x) * t)} ${r1(y + (by - y) * t)}`;
    return kept(m`<g class="pd${selected === i ? " sel" : ""}" data-act="point" data-n="${i}" data-key="pd${i}" role="button" tabindex="0" aria-pressed="${selected === i ? "true" : "false"}" aria-label="Point ${i + 1}: ${names[i] ?? ""}"><rect class="hit0" x="${r1(bx - 22)}" y="${r1(by - 22)}" width="44" height="44"/><path class="under" d="${d}"/><path class="over" d="${d}"/><circle cx="${r1(bx)}" cy="${r1(by)}" r="${R}"/><text x="${r1(bx)}" y="${r1(by + 4.3)}">${i + 1}</text></g>`);
  });
  const s = spot && [box.x + spot.x * box.w, box.y + spot.y * box.h];
  return m`<path class="mount" d="M0 0H${w}V${h}H0ZM${r1(box.x)} ${r1(box.y)}V${r1(box.y + box.h)}H${r1(box.x + box.w)}V${r1(box.y)}Z"/>${marks}${s ? m`<path class="under" d="M${r1((s[0] ?? 0) - 9)} ${r1(s[1] ?? 0)}h18M${r1(s[0] ?? 0)} ${r1((s[1] ?? 0) - 9)}v18"/><path class="over" d="M${r1((s[0] ?? 0) - 9)} ${r1(s[1] ?? 0)}h18M${r1(s[0] ?? 0)} ${r1((s[1] ?? 0) - 9)}v18"/>` : ""}`;
}

/** The histogram in stops as a line, mid-grey marked. */
export function histogramDrawing(bins: Float32Array, lo: number, hi: number, w: number, h: number): Markup {
  const base = h - 16, X = (s: number) => 8 + ((s - lo) / (hi - lo)) * (w - 16);
  const most = Math.max(1e-6, ...Array.from(bins.subarray(1, bins.length - 1)));
  let d = "";
  for (let i = 0; i < bins.length; i++) {
    const a = ((bins[Math.max(0, i - 1)] ?? 0) + 2 * (bins[i] ?? 0) + (bins[Math.min(bins.length - 1, i + 1)] ?? 0)) / 4;
    d += `${i ? "L" : "M"}${r1(X(lo + i / 8))} ${r1(base - Math.min(1, Math.sqrt(a / most)) * (base - 4))}`;
  }
  const marks = Array.from({ length: hi - lo + 1 }, (_, i) => lo + i).map((s) => m`<path class="${s === 0 ? "z0" : "z1"}" d="M${r1(X(s))} ${base}V${s === 0 ? 2 : base - 4}"/><text x="${r1(X(s))}" y="${h - 4}" text-anchor="${s === lo ? "start" : s === hi ? "end" : "middle"}">${s === 0 ? "0" : s > 0 ? `+${s}` : `\u2212${-s}`}</text>`);
  return m`${marks}<path class="hl" d="${d}"/>`;
}
