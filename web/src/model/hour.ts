// The hour: daylight against the file's level, read from the table that the program sends.
import type { HoursView } from "./wire.ts";

const between = (h: HoursView, list: readonly number[], minute: number): number => {
  const x = Math.min(Math.max((minute - h.from) / h.step, 0), list.length - 1), i = Math.min(Math.floor(x), list.length - 2);
  if (list.length < 2) return list[0] ?? 0;
  return (list[i] ?? 0) + (x - i) * ((list[i + 1] ?? 0) - (list[i] ?? 0));
};

/** Daylight in stops against the file's, at a minute of the day; nothing asked or nothing known: 0. */
export const daylightStops = (h: HoursView | undefined, minute: number | null): number => (!h || minute === null ? 0 : between(h, h.stops, minute));

export const sunAltitude = (h: HoursView, minute: number): number => between(h, h.sun, minute);

export const clamped = (h: HoursView, minute: number): number => Math.min(h.to, Math.max(h.from, Math.round(minute)));

/** Minutes at which daylight has gone one whole stop on from the first entry: where the strip has its strokes. */
export function stopMinutes(h: HoursView): number[] {
  const out: number[] = [], base = h.stops[0] ?? 0;
  for (let i = 1; i < h.stops.length; i++) {
    const a = (h.stops[i - 1] ?? 0) - base, b = (h.stops[i] ?? 0) - base;
    for (let s = Math.min(Math.ceil(a), Math.ceil(b)); s <= Math.max(Math.floor(a), Math.floor(b)); s++) {
      if (s === 0 || (a - s) * (b - s) > 0 || a === b || b === s) continue;
      out.push(h.from + (i - 1 + (s - a) / (b - a)) * h.step);
    }
  }
  return out.sort((a, b) => a - b);
}
