// A room walked round: length, turn, length; the error at the end spread over the sides.
import { readLength, type Units } from "../units/measures.ts";

/** One side as typed: its length, and the turn after it in degrees, to the left above zero. */
export interface Side { length: string; turn: string }

export const startWalk = (): readonly Side[] => [{ length: "", turn: "left" }];

export interface Walked {
  /** Corners as walked, from the first; the last is where the walk ended. */
  path: [number, number][];
  /** Length of each side as walked, metres; null: not understood. */
  lengths: (number | null)[];
  /** From where it ended to where it began, metres along x and y. */
  gap: [number, number];
  /** How far the turns are from one whole turn, degrees; the turn at the first corner counts as what is wanting. */
  off: number;
  /** Metres that each side is made longer to close. */
  spread: number[];
  /** The corners, closed, anticlockwise, from the first. Empty: there is no room yet. */
  outline: [number, number][];
  /** Why there is none; empty: there is. */
  why: string;
}

/** A turn as typed: 'left', 'right', or degrees to the left. Not understood: null. */
export function turnOf(text: string): number | null {
  const t = text.trim().toLowerCase().replace(/\u2212/g, "-").replace(/°|deg(rees)?/, "").trim();
  if (t === "left" || t === "l") return 90;
  if (t === "right" || t === "r") return -90;
  const v = t === "" ? Number.NaN : Number(t.replace(",", "."));
  return Number.isFinite(v) && Math.abs(v) < 180 ? v : null;
}

/**
 * A length with its turn in one field, '3.10 l', '3.1 r', '10 ft 2 in right', '2.4 45°': what is typed before
 * the turn, and the turn; no turn typed: empty.
 */
export function splitSide(text: string): { length: string; turn: string } {
  const m = text.trim().match(/^(.*?\d.*?)\s+(l|r|left|right|[+\u2212-]?\d+(?:[.,]\d+)?\s*(?:°|deg))$/i);
  const turn = (m?.[2] ?? "").toLowerCase();
  return m ? { length: m[1] ?? "", turn: turn === "l" ? "left" : turn === "r" ? "right" : turn }
    : { length: text.trim(), turn: "" };
}

const area = (o: readonly (readonly [number, number])[]): number => o.reduce((s, a, i) => {
  const b = o[(i + 1) % o.length] ?? a;
  return s + (a[0] * b[1] - b[0] * a[1]) / 2;
}, 0);

const cross = (a: readonly number[], b: readonly number[], c: readonly number[]): number =>
  ((b[0] ?? 0) - (a[0] ?? 0)) * ((c[1] ?? 0) - (a[1] ?? 0)) - ((b[1] ?? 0) - (a[1] ?? 0)) * ((c[0] ?? 0) - (a[0] ?? 0));

/** Whether two sides that do not touch cut each other. */
function crossed(o: readonly (readonly [number, number])[]): boolean {
  const n = o.length;
  for (let i = 0; i < n; i++) for (let j = i + 2; j < n; j++) {
    if (i === 0 && j === n - 1) continue;
    const a = o[i], b = o[i + 1], c = o[j], d = o[(j + 1) % n];
    if (a && b && c && d && cross(a, b, c) * cross(a, b, d) < 0 && cross(c, d, a) * cross(c, d, b) < 0) return true;
  }
  return false;
}

/**
 * Walks the sides from the origin along x. The error at the end is spread by the transit rule (handbooks of
 * surveying): along x in proportion to what each side goes along x, along y
 * likewise, so that square corners of a square room stay square.
 */
export function walked(sides: readonly Side[], u: Units): Walked {
  const used = sides.filter((s, i) => s.length.trim() !== "" || i < sides.length - 1),
    lengths = used.map((s) => readLength(s.length, u)), turns = used.map((s) => turnOf(s.turn)),
    out: Walked = { path: [[0, 0]], lengths, gap: [0, 0], off: 0, spread: [], outline: [], why: "" };
  const bad = lengths.findIndex((v) => v === null || !(v > 0)), crook = turns.findIndex((v) => v === null);
  let heading = 0, x = 0, y = 0;
  const steps: [number, number][] = [];
  for (let i = 0; i < used.length && i !== bad; i++) {
    const l = lengths[i] ?? 0, dx = l * Math.cos(heading), dy = l * Math.sin(heading);
    steps.push([dx, dy]);
    out.path.push([(x += dx), (y += dy)]);
    if (turns[i] === null) break;
    heading += ((turns[i] ?? 0) * Math.PI) / 180;
  }
  if (bad >= 0) return { ...out, why: `Side ${bad + 1} has no length yet.` };
  if (crook >= 0) return { ...out,
      why: `The turn after side ${crook + 1} is not understood: left, right, or degrees.` };
  if (used.length < 3) return { ...out, why: "A room has three sides at least." };
  out.gap = [-x, -y];
  // The turn at the last corner is not walked: whatever is wanting to a whole turn.
  const sum = turns.reduce<number>((s, v) => s + (v ?? 0), 0);
  out.off = Math.abs(sum) - 360;
  const along = steps.reduce<[number, number]>((s, d) => [s[0] + Math.abs(d[0]), s[1] + Math.abs(d[1])], [0, 0]);
  const whole = lengths.reduce<number>((s, v) => s + (v ?? 0), 0), far = Math.hypot(x, y);
  if (far > 0.25 * whole)
    return { ...out, why: "It does not come back to where it began: a side or a turn is missing." };
  const fixed = steps.map((d): [number, number] => [
    d[0] - (along[0] > 0 ? (x * Math.abs(d[0])) / along[0] : 0),
      d[1] - (along[1] > 0 ? (y * Math.abs(d[1])) / along[1] : 0)]);
  out.spread = fixed.map((d, i) => Math.hypot(d[0], d[1]) - (lengths[i] ?? 0));
  let o: [number, number][] = [[0, 0]];
  for (const d of fixed.slice(0, -1)) {
    const p = o[o.length - 1] ?? [0, 0];
    o.push([p[0] + d[0], p[1] + d[1]]);
  }
  if (crossed(o)) return { ...out, why: "Two sides cut each other: a turn goes the wrong way." };
  if (Math.abs(area(o)) < 0.1) return { ...out, why: "The sides enclose nothing." };
  if (area(o) < 0) o = [o[0] ?? [0, 0], ...o.slice(1).reverse()];
  const lo = [Math.min(...o.map((p) => p[0])), Math.min(...o.map((p) => p[1]))];
  const mm = (v: number): number => Math.round(v * 1000) / 1000 + 0;
  out.outline = o.map((p): [number, number] => [mm(p[0] - (lo[0] ?? 0)), mm(p[1] - (lo[1] ?? 0))]);
  return out;
}

/** How long the closing error is, centimetres. */
export const gapCM = (w: Walked): number => 100 * Math.hypot(...w.gap);
