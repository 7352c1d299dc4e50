// What the page may work out itself: layers weighed anew, never light computed.
import type { CameraView, LightView, PointUnits, ReadingsView, SetupView } from "./wire.ts";

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
  const lit = cam ? (t >= cam.sync * 0.999 || cam.sync === 0 ? (cam.shutter.value >= cam.sync * 0.999 ? cam.flash_lit_share : 1) : cam.flash_lit_share) : 1;
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
}

/** The ring of a point: the first wish about its level, or its own level where nothing is asked. */
export function ringOf(view: SetupView, readings: ReadingsView, i: number, level: number): Ring {
  const name = view.points[i]?.name;
  const server = readings.readings.points[i];
  for (const [k, wish] of view.look.entries()) {
    if (wish.point !== name) continue;
    for (const [j, want] of wish.wants.entries()) {
      const res = readings.look[k]?.wants[j];
      if (!["reads", "stops", "above", "darkest", "brightest"].includes(want.kind)) continue;
      if (want.kind === "darkest" || want.kind === "brightest") {
        const lo = want.lo ?? -Infinity, hi = want.hi ?? Infinity;
        const stops = Math.min(Math.max(level, lo), hi);
        const other = wish.wants.filter((w) => w !== want && (w.kind === "darkest" || w.kind === "brightest"))[0];
        return { held: true, stops, lo: Math.max(lo, other?.lo ?? -Infinity), hi: Math.min(hi, other?.hi ?? Infinity), met: res?.met ?? true, path: wish.path, words: wish.words };
      }
      let at = level - (res?.miss_stops ?? 0);
      if (want.kind === "stops" && want.lo !== undefined) at = ((want.lo ?? 0) + (want.hi ?? want.lo ?? 0)) / 2;
      else if (server?.stops != null && res?.miss_stops != null) at = server.stops - res.miss_stops;
      return { held: true, stops: at, lo: at, hi: at, met: res?.met ?? true, path: wish.path, words: wish.words };
    }
  }
  return { held: false, stops: level, lo: level, hi: level, met: true, path: "", words: "" };
}

/** The dial step nearest to a setting in stops against full. */
export function dialNear(l: LightView, stops: number): { text: string; stops: number } | undefined {
  return l.dial.reduce<{ text: string; stops: number } | undefined>((best, d) => (!best || Math.abs(d.stops - stops) < Math.abs(best.stops - stops) ? d : best), undefined);
}
