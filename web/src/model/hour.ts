// The hour: what comes in from outside against the hour that all of the
// setup is of, by the table that the program sends.
import type { HoursView } from "./wire.ts";

const between = (h: HoursView, list: readonly number[], minute: number): number => {
  const x = Math.min(Math.max((minute - h.from) / h.step, 0), list.length - 1),
    i = Math.min(Math.floor(x), list.length - 2);
  if (list.length < 2) return list[0] ?? 0;
  return (list[i] ?? 0) + (x - i) * ((list[i + 1] ?? 0) - (list[i] ?? 0));
};

/** Daylight in stops against what was traced, at a minute of the day (null: the setup's own); nothing known: 0. */
export const daylightStops = (h: HoursView | undefined, minute: number | null): number =>
  (!h || (minute ?? h.at) === h.shown ? 0 : between(h, h.stops, minute ?? h.at));

/** The same against the setup's own hour. */
export const againstFile = (h: HoursView, minute: number): number => (
  minute === h.at ? 0 : between(h, h.stops, minute) - between(h, h.stops, h.at));

/** The sun itself comes in by a window. */
export const sunComesIn = (h: HoursView, minute: number): boolean =>
  h.beam[Math.round((minute - h.from) / h.step)] ?? false;

export const sunAltitude = (h: HoursView, minute: number): number => between(h, h.sun, minute);

export const clamped = (h: HoursView, minute: number): number => Math.min(h.to, Math.max(h.from, Math.round(minute)));

/** Minutes at which daylight has gone one whole stop on from the first entry: where the strip has its strokes. */
export function stopMinutes(h: HoursView): number[] {
  const out: number[] = [], base = h.stops[0] ?? 0;
  for (let i = 1; i < h.stops.length; i++) {
    const a = (h.stops[i - 1] ?? 0) - base, b = (h.stops[i] ?? 0) - base;
    if (Math.abs(b - a) > 3) continue; // the sun comes in or goes: no steady fall
    for (let s = Math.min(Math.ceil(a), Math.ceil(b)); s <= Math.max(Math.floor(a), Math.floor(b)); s++) {
      if (s === 0 || (a - s) * (b - s) > 0 || a === b || b === s) continue;
      out.push(h.from + (i - 1 + (s - a) / (b - a)) * h.step);
    }
  }
  return out.sort((a, b) => a - b);
}
