// Depth of field as a band: between two planes square to the camera's axis, where the angle of view crosses them.
import type { CameraView } from "../model/wire.ts";

type V3 = [number, number, number];

/**
 * Corners of the band as seen from above, cut at the height of what is focused;
 * moved: where the camera is now. Far beyond 40 m ends there.
 */
export function bandFromAbove(c: CameraView, moved: readonly number[]): V3[] {
  const half = c.sensor_width / 2 / c.image, z = (moved[2] ?? 0) + c.axis[2] * c.focus;
  const at = (s: number, side: number): V3 => {
    const p = [0, 1, 2].map((i) => (moved[i] ?? 0) + (c.axis[i] ?? 0) * s + (c.right[i] ?? 0) * side * s * half);
    const t = Math.abs(c.up[2]) > 0.05 ? (z - (p[2] ?? 0)) / c.up[2] : 0;
    return [0, 1, 2].map((i) => (p[i] ?? 0) + (c.up[i] ?? 0) * t) as V3;
  };
  const near = c.near, far = Math.min(c.far ?? 40, 40);
  return [at(near, -1), at(near, 1), at(far, 1), at(far, -1)];
}

/** The same from the side, through the axis. */
export function bandFromSide(c: CameraView, moved: readonly number[]): V3[] {
  const half = c.sensor_height / 2 / c.image;
  const at = (s: number, k: number): V3 =>
    [0, 1, 2].map((i) => (moved[i] ?? 0) + (c.axis[i] ?? 0) * s + (c.up[i] ?? 0) * k * s * half) as V3;
  const near = c.near, far = Math.min(c.far ?? 40, 40);
  return [at(near, -1), at(near, 1), at(far, 1), at(far, -1)];
}
