// Holds what the page traced against the program's picture.
import type { LayersHead } from "../model/wire.ts";

/** X, Y, Z of the mean of a layer, by its number. */
export type Means = Map<number, [number, number, number]>;

/** Samples a pixel from which the program's picture is known well enough to judge by. */
export const enough = 16;

/** Share of the picture's light that may stray. */
export const most = 0.05;

/**
 * The share of the picture's light by which traced layers stray from the program's, and each layer's ratio in
 * words. What half the samples gave tells how well a mean is known: a layer strays by what lies beyond
 * three times that. weight is by layer, of the picture as it is set.
 */
export function strays(means: Means, half: Means, weight: readonly number[], head: LayersHead): {
  share: number; says: string;
} {
  const all = head.layers.reduce((s, l, i) => s + (weight[i] ?? 0) * l.mean[1] * l.scale, 0);
  let off = 0;
  const says: string[] = [];
  for (const [l, [, y]] of means) {
    const layer = head.layers[l], theirs = layer ? layer.mean[1] * layer.scale : 0,
      noise = Math.abs(y - (half.get(l)?.[1] ?? y));
    off += Math.max(0, Math.abs(y - theirs) - 3 * noise) * (weight[l] ?? 0);
    says.push(`${layer?.name ?? l} ${(theirs > 0 ? y / theirs : 1).toFixed(4)}`);
  }
  return { share: all > 0 ? off / all : 0, says: says.join(", ") };
}
