// Figures as a person on the floor reads them.
import { m, type Markup } from "../src/units/markup.ts";

/** The engraved stops of the keypad. */
export const stops = ["1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22"];

/** The f-number of a key and tenths over it: each stop is a factor of the square root of two. */
export const fOf = (key: number, tenths: number): number => 2 ** ((key + tenths / 10) / 2);

/** The key and tenths that are nearest to an f-number. */
export function keysOf(f: number): [number, number] {
  const t = Math.round(20 * Math.log2(Math.max(f, 0.01)));
  const key = Math.min(stops.length - 1, Math.max(0, Math.floor(t / 10)));
  return [key, Math.min(9, Math.max(0, t - 10 * key))];
}

/** f/4 with a raised 2: f/4 and two tenths. Out of the keypad's range it is the plain number. */
export function fn(f: number): Markup {
  if (!(f > 0)) return m`<span class="fn">–</span>`;
  const t = Math.round(20 * Math.log2(f));
  if (t < 0 || t > 99) return m`<span class="fn"><i>f/</i>${f < 1 ? f.toFixed(2) : Math.round(f)}</span>`;
  const [key, tenths] = keysOf(f);
  return m`<span class="fn" role="img" aria-label="f/${stops[key]} and ${tenths} tenths"><i>f/</i>${stops[key]}
    <sup>${tenths}</sup></span>`;
}

/** Stops between two f-numbers. */
export const between = (a: number, b: number): number => 2 * Math.log2(a / b);

export function signed(v: number): string {
  const r = Math.round(v * 10) / 10;
  return (r < 0 ? "−" : r > 0 ? "+" : "±") + Math.abs(r).toFixed(1);
}

const two = (n: number): string => String(n).padStart(2, "0");

/** Time of day of seconds since midnight. */
export const clock = (s: number): string => `${two(Math.floor(s / 3600) % 24)}:${two(Math.floor(s / 60) % 60)}`;

/** What is left, or what it is over. */
export function left(s: number): string {
  const a = Math.abs(Math.round(s)), h = Math.floor(a / 3600);
  return (s < 0 ? "+" : "") + (h > 0 ?
    `${h}:${two(Math.floor(a / 60) % 60)}:${two(a % 60)}` : `${two(Math.floor(a / 60))}:${two(a % 60)}`);
}

/** How old something is. */
export function age(ms: number): string {
  const s = Math.max(0, Math.round(ms / 1000));
  return s < 90 ? `${s} s` : s < 5400 ? `${Math.round(s / 60)} min` : `${Math.round(s / 3600)} h`;
}

/** Settings with a true minus sign. */
export const setting = (s: string): string => s.replace(/ - /g, " − ");
