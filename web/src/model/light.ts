// What the page may work out itself: layers weighed anew, never light computed.
import type { CameraView, LightView, PointUnits, ReadingsView, SetupView, WantView } from "./wire.ts";

/** Settings that are tried out before the server has answered. */
export interface Trial {
  /** Factor on full, by path of the light. */
  k: Map<string, number>;
  /** Daylight in stops against the file's. */
  daylight?: number;
  shutter?: number;
  aperture?: number;
  iso?: number;
}

/** One layer's weight: setting × (shutter for continuous light, share of the frame for flash). */
export function weights(view: SetupView, trial: Trial, solo: string, count: number): number[] {
  const cam = view.camera;
  const t = trial.shutter ?? cam?.shutter.value ?? 1 / 60;
  const lit = cam ? (t >= cam.sync * 0.999 || cam.sync === 0
    ? (cam.shutter.value >= cam.sync * 0.999 ? cam.flash_lit_share : 1) : cam.flash_lit_share) : 1;
  const out = new Array<number>(count).fill(0);
  for (const l of view.lights) {
    if (l.layer < 0 || l.layer >= count) continue;
    const k = (trial.k.get(l.path) ?? l.k) * (l.kind === "daylight" && trial.daylight ? 2 ** trial.daylight : 1);
    out[l.layer] = solo && l.path !== solo ? 0 : k * (l.flash ? lit : t);
  }
  return out;
}

/** Factor from luminance-seconds to the linear picture with mid-grey at 0.18. */
export function exposureFactor(cam: CameraView, trial: Trial): number {
  const n = trial.aperture ? (cam.aperture.value / trial.aperture) ** 2 : 1;
  const s = trial.iso ? trial.iso / cam.iso.value : 1;
  return cam.exposure.factor * n * s;
}

/** One point weighed: level in the picture, f-number of the meter, share by layer. */
export interface Level {
  stops: number;
  f: number;
  shares: number[];
  onPicture: boolean;
}

export function weigh(u: PointUnits, view: SetupView, trial: Trial, w: number[]): Level {
  const cam = view.camera;
  const iso = trial.iso ?? cam?.iso.value ?? 100;
  const onPicture = u.picture.length > 0;
  const sum = (rows: readonly (readonly number[])[]) => rows.reduce((a, x, l) => a + (x[1] ?? 0) * (w[l] ?? 0), 0);
  const lum = onPicture ? sum(u.picture) : (0.18 / Math.PI) * sum(u.incident);
  const meter = u.incident.length ? sum(u.incident) : sum(u.picture);
  const factor = cam ? exposureFactor(cam, trial) : 0;
  const rows = onPicture ? u.picture : u.incident;
  const total = sum(rows);
  return {
    stops: Math.log2((lum * factor) / 0.18),
    f: Math.sqrt((meter * iso) / u.constant),
    shares: rows.map((x, l) => (total > 0 ? ((x[1] ?? 0) * (w[l] ?? 0)) / total : 0)),
    onPicture,
  };
}

export function levels(view: SetupView, readings: ReadingsView, trial: Trial, solo = ""): Level[] {
  const count = readings.readings.layers.length;
  const w = weights(view, trial, solo, count);
  return readings.units.map((u) => weigh(u, view, trial, w));
}

/** A ring: what is asked of a point on the scale of levels. */
export interface Ring {
  held: boolean;
  stops: number;
  lo: number;
  hi: number;
  met: boolean;
  path: string;
  words: string;
  /** Wanted of this point by itself, not against another. */
  alone: boolean;
  /** What the meter shall read, where that is what is asked: on the picture's scale it moves with the readings. */
  reads: number;
}

/** A rung this far from its ring is not level, stops. Shown figures are tenths. */
export const level = 0.15;

/**
 * The ring of a point: the first wish about its level, or its own level where nothing is asked.
 * Judged by the levels shown, so that it holds for the settings and the hour that are tried out;
 * what the program said stands in where a point is dark.
 */
export function ringOf(view: SetupView, readings: ReadingsView, i: number, all: readonly Level[]): Ring {
  const name = view.points[i]?.name, here = all[i], now = here?.stops ?? -Infinity;
  const ring = (held: boolean, stops: number, lo: number, hi: number, path: string, words: string,
    alone = true, reads = 0): Ring => ({ held, stops, lo, hi, met: !held || Math.abs(now - stops) <= level, path, words,
    alone, reads });
  for (const [k, wish] of view.look.entries()) {
    if (wish.point !== name) continue;
    for (const [j, want] of wish.wants.entries()) {
      if (!["reads", "stops", "above", "darkest", "brightest"].includes(want.kind)) continue;
      if (want.kind === "darkest" || want.kind === "brightest") {
        const ends = wish.wants.filter((w) => w.kind === "darkest" || w.kind === "brightest");
        const lo = Math.max(...ends.map((w) => w.lo ?? -Infinity)), hi = Math.min(...ends.map((w) => w.hi ?? Infinity));
        return ring(true, Math.min(Math.max(now, lo), hi), lo, hi, wish.path, wish.words);
      }
      const at = wantedAt(view, all, i, want) ?? saidAt(readings, i, k, j) ?? now;
      return ring(true, at, at, at, wish.path, wish.words, want.kind !== "above",
        want.kind === "reads" ? want.lo ?? 0 : 0);
    }
  }
  return ring(false, now, now, now, "", "");
}

/** Where a wish about a level lies on the picture's scale now; null where a point is dark or not there. */
function wantedAt(view: SetupView, all: readonly Level[], i: number, want: WantView): number | null {
  const here = all[i], lo = want.lo ?? 0, sane = (v: number): number | null => (Number.isFinite(v) ? v : null);
  if (!here) return null;
  if (want.kind === "stops") return (lo + (want.hi ?? lo)) / 2;
  // f² goes with light: what the meter should read is so far from what it reads.
  if (want.kind === "reads") return lo > 0 ? sane(here.stops - 2 * Math.log2(here.f / lo)) : null;
  const o = view.points.findIndex((q) => q.name.toLowerCase() === want.to?.toLowerCase()), other = all[o];
  if (!other) return null;
  // As the program judges it: what a meter reads where both are incident, else levels in the picture.
  const spot = view.points[i]?.receptor === "spot" || view.points[o]?.receptor === "spot";
  return sane(here.stops - ((spot ? here.stops - other.stops : 2 * Math.log2(here.f / other.f)) - lo));
}

/** The same from what the program last said of it. */
function saidAt(readings: ReadingsView, i: number, wish: number, want: number): number | null {
  const stops = readings.readings.points[i]?.stops, miss = readings.look[wish]?.wants[want]?.miss_stops;
  return stops != null && miss != null ? stops - miss : null;
}

/** The dial step nearest to a setting in stops against full. */
export function dialNear(l: LightView, stops: number): { text: string; stops: number } | undefined {
  return l.dial.reduce<{ text: string; stops: number } | undefined>((best, d) => (
    !best || Math.abs(d.stops - stops) < Math.abs(best.stops - stops) ? d : best), undefined);
}
