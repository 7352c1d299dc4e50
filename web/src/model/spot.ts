// The reading of a spot of the picture, from the light of its layers:
// weighed here, so that it follows every setting at once.
import { exposureFactor, weights, type Trial } from "./light.ts";
import type { LightView, SetupView } from "./wire.ts";

export interface SpotLevel {
  /** Stops from mid-grey in the picture; minus infinity in the dark. */
  stops: number;
  /** What a reflected meter would say at the camera's sensitivity and shutter. */
  f: number;
  /** Biggest first: share of the light there and its level alone. */
  lights: { light: LightView; share: number; stops: number }[];
}

/** Weighs the luminance of each layer at a spot. k is the meter's constant K (ISO 2720). */
export function spotLevel(view: SetupView, trial: Trial, solo: string, at: readonly number[],
  k: number): SpotLevel | null {
  const c = view.camera;
  if (!c) return null;
  const w = weights(view, trial, solo, at.length), factor = exposureFactor(c, trial),
    each = at.map((v, i) => v * (w[i] ?? 0)), sum = each.reduce((a, v) => a + v, 0);
  const lights = each.flatMap((v, i) => {
    const light = view.lights.find((l) => l.layer === i);
    return light && v > 0 ? [{ light, share: v / sum, stops: Math.log2((v * factor) / 0.18) }] : [];
  });
  return { stops: Math.log2((sum * factor) / 0.18), f: Math.sqrt((sum * (trial.iso ?? c.iso.value)) / k),
    lights: lights.sort((a, b) => b.share - a.share) };
}
