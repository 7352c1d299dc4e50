// What lies over the picture: wished points with their names on leaders, off the
// face; free ones as bare crosses; the spot that was read.
import type { PointView } from "../model/wire.ts";
import { capital } from "../model/names.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { clamp } from "../units/stops.ts";
import { widthOf } from "./labels.ts";

/** Where the picture lies inside its mount. */
export interface Box { x: number; y: number; w: number; h: number }

/** The largest box of the picture's shape inside a mount, with air round it. */
export function opening(w: number, h: number, aspect: number, air = 8): Box {
  const bw = Math.max(1, w - 2 * air), bh = Math.max(1, h - 2 * air);
  const pw = Math.min(bw, bh * aspect), ph = pw / aspect;
  return { x: (w - pw) / 2, y: (h - ph) / 2, w: pw, h: ph };
}

export const common = (a: Box, b: Box): number =>
  Math.max(0, Math.min(a.x + a.w, b.x + b.w) - Math.max(a.x, b.x)) *
    Math.max(0, Math.min(a.y + a.h, b.y + b.h) - Math.max(a.y, b.y));

/** Distance from p to the segment a–b. */
function between(px: number, py: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax, dy = by - ay, t = clamp(((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy || 1), 0, 1);
  return Math.hypot(px - ax - t * dx, py - ay - t * dy);
}

export interface Marked { x: number; y: number; w: number; h: number }

/**
 * Places labels of the given sizes: of sixteen directions and five lengths each takes the one that
 * covers least of what is there already; keep is covered last of all (the face).
 */
export function labelsAt(marks: readonly Marked[], crosses: readonly (readonly [number, number])[], box: Box,
  keep: Box | null): Box[] {
  const placed: Box[] = [], mid = marks.reduce((a, c) => a + c.x, 0) / Math.max(1, marks.length);
  const gap = (b: Box): Box => ({ x: b.x - 3, y: b.y - 3, w: b.w + 6, h: b.h + 6 });
  for (const k of marks) {
    let best: Box = { x: k.x, y: k.y, w: k.w, h: k.h }, least = Infinity;
    for (const far of [34, 52, 76, 104, 140]) {
      for (let a = 0; a < 16; a++) {
        const c = Math.cos((a * Math.PI) / 8), s = Math.sin((a * Math.PI) / 8), bx = k.x + far * c + (c * k.w) / 2,
          by = k.y + far * s + (s * k.h) / 2;
        const b: Box = { x: bx - k.w / 2, y: by - k.h / 2, w: k.w, h: k.h };
        let cost = far * 0.5 - Math.sign(k.x - mid) * (bx - k.x) * 0.15 + (k.w * k.h - common(b, box)) * 4;
        for (const q of placed) cost += common(gap(b), gap(q)) * 6;
        if (keep) cost += common(b, keep) * 3;
        for (const [x, y] of crosses) {
          if (x === k.x && y === k.y) continue;
          cost += common(b, { x: x - 7, y: y - 7, w: 14, h: 14 }) * 1.5 +
            18 * clamp((9 - between(x, y, k.x, k.y, bx, by)) / 9, 0, 1);
        }
        if (cost < least) { least = cost; best = b; }
      }
    }
    placed.push(best);
  }
  return placed;
}

export interface FrameMarks {
  w: number;
  h: number;
  box: Box;
  points: readonly PointView[];
  /** Number of each point. */
  numbers: readonly number[];
  wished: readonly boolean[];
  selected: number;
  spot: { x: number; y: number } | null;
  /** Figures only: a small screen, or many labels. */
  figures: boolean;
}

const inside = (p: PointView): boolean => !!p.picture && p.picture[0] > 0 && p.picture[0] < 1 && p.picture[1] > 0 &&
  p.picture[1] < 1;

/** The part of the picture that the sitter's own points about the head take up. */
function faceOf(points: readonly PointView[], box: Box): Box | null {
  const at = points.filter((q) => q.sitter && inside(q) && /face|chin|forehead|eye|hair/.test(q.name))
    .map((q) => q.picture ?? [0, 0]);
  if (at.length < 2) return null;
  const xs = at.map((c) => box.x + c[0] * box.w), ys = at.map((c) => box.y + c[1] * box.h), air = 10;
  const x = Math.min(...xs) - air, y = Math.min(...ys) - air;
  return { x, y, w: Math.max(...xs) + air - x, h: Math.max(...ys) + air - y };
}

/** The points over the picture, and what their labels and the face take up of it. */
export function frameMarks(f: FrameMarks): { drawn: Markup; covered: Box[] } {
  const { box, points } = f, seen = points.map((p, i) => ({ p, i })).filter(({ p }) => inside(p));
  const at = new Map(seen.map(({ p, i }) =>
    [i, [box.x + (p.picture?.[0] ?? 0) * box.w, box.y + (p.picture?.[1] ?? 0) * box.h] as const]));
  const named = seen.filter(({ i }) => f.wished[i] || i === f.selected), figures = f.figures || named.length > 7;
  const words = (i: number): string => (figures ? String(f.numbers[i] ?? i + 1)
    : `${f.numbers[i] ?? i + 1} ${capital(points[i]?.name ?? "")}`);
  const sizes = named.map(({ i }): Marked => {
    const [x, y] = at.get(i) ?? [0, 0];
    return { x, y, w: Math.min(box.w * 0.6, widthOf(words(i), 13, true) + 14), h: 22 };
  });
  const face = faceOf(points, box), boxes = labelsAt(sizes, [...at.values()], box, face);
  const bare = seen.filter(({ i }) => !named.some((q) => q.i === i)).map(({ i }) => {
    const [x, y] = at.get(i) ?? [0, 0], name = points[i]?.name ?? "";
    const cross = `M${r1(x - 4.5)} ${r1(y)}h9M${r1(x)} ${r1(y - 4.5)}v9`;
    return kept(m`<g class="pd fx" data-act="point" data-n="${i}" data-pt="${i}" data-key="pd${i}" role="button"
      tabindex="0" aria-pressed="false"
 aria-label="Point ${f.numbers[i] ?? i + 1}: ${name}"><circle class="hit0" cx="${r1(x)}" cy="${r1(y)}" r="13"/>
   <path class="under" d="${cross}"/><path class="over" d="${cross}"/></g>`);
  });
  const marks = named.map(({ i }, k) => {
    const [x, y] = at.get(i) ?? [0, 0], b = boxes[k] ?? { x, y, w: 0, h: 0 }, sel = f.selected === i;
    const ex = clamp(x, b.x, b.x + b.w), ey = clamp(y, b.y, b.y + b.h),
      d = `M${r1(x - 5.5)} ${r1(y)}h11M${r1(x)} ${r1(y - 5.5)}v11M${r1(x)} ${r1(y)}L${r1(ex)} ${r1(ey)}`;
    return kept(m`<g class="pd${sel ? " sel" : ""}" data-act="point" data-n="${i}" data-pt="${i}" data-key="pd${i}"
      role="button" tabindex="0"
 aria-pressed="${sel ? "true" : "false"}" aria-label="Point ${f.numbers[i] ?? i + 1}: ${points[i]?.name ?? ""}">
   <path class="under" d="${d}"/><path class="over" d="${d}"/>
<rect class="hit0" x="${r1(b.x - 6)}" y="${r1(b.y - 11)}" width="${r1(b.w + 12)}" height="44"/>
  <rect class="plate" x="${r1(b.x)}" y="${r1(b.y)}" width="${r1(b.w)}" height="${b.h}"/>
<text x="${r1(b.x + b.w / 2)}" y="${r1(b.y + 15.5)}" text-anchor="middle">${fit(words(i), b.w - 10)}</text></g>`);
  });
  const s = f.spot && [box.x + f.spot.x * box.w, box.y + f.spot.y * box.h],
    cross = s ? `M${r1((s[0] ?? 0) - 9)} ${r1(s[1] ?? 0)}h18M${r1(s[0] ?? 0)} ${r1((s[1] ?? 0) - 9)}v18` : "";
  return { drawn: m`${bare}${marks}${s ? m`<path class="under" d="${cross}"/><path class="over" d="${cross}"/>` : ""}`,
    covered: face ? [face, ...boxes] : boxes };
}

/** As much of a text as has room. */
export function fit(text: string, w: number, size = 13, bold = true): string {
  if (widthOf(text, size, bold) <= w) return text;
  const n = Math.max(1, Math.floor(w / widthOf("n", size, bold)) - 1);
  return `${[...text].slice(0, n).join("").trimEnd()}…`;
}
