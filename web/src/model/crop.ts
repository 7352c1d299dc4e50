// The crop: the part of the frame that will be used, as shares of it,
// moved and shaped; and where a cover's type lies in it.
import type { CoverView } from "./wire.ts";

/** Left, top, right, bottom as shares of the frame. */
export type Crop = readonly [number, number, number, number];

export const isWhole = (c: Crop): boolean => c[0] <= 0.001 && c[1] <= 0.001 && c[2] >= 0.999 && c[3] >= 0.999;

/**
 * The crop after a handle was moved by shares of the frame; kept inside it, and in a
 * shape (width to height in pixels of the frame) where one is given.
 */
export function cropMoved(c: Crop, grip: string, dx: number, dy: number, shape = 0,
  frame = 1): [number, number, number, number] {
  let [l, t, r, b] = c;
  const least = 0.08;
  if (grip === "move") {
    const mx = Math.min(1 - r, Math.max(-l, dx)), my = Math.min(1 - b, Math.max(-t, dy));
    return tidy([l + mx, t + my, r + mx, b + my]);
  }
  if (grip.includes("w")) l = Math.min(r - least, Math.max(0, l + dx));
  if (grip.includes("e")) r = Math.max(l + least, Math.min(1, r + dx));
  if (grip.includes("n")) t = Math.min(b - least, Math.max(0, t + dy));
  if (grip.includes("s")) b = Math.max(t + least, Math.min(1, b + dy));
  if (!(shape > 0)) return tidy([l, t, r, b]);
  // In shares: width over height is shape over the frame's own shape. The side opposite the handle stands.
  const ratio = shape / frame, upright = grip === "n" || grip === "s";
  let w = r - l, h = b - t;
  if (upright) w = h * ratio; else h = w / ratio;
  const right = grip.includes("w"), bottom = grip.includes("n");
  const most = Math.min(1, (right ? r : 1 - l) / w, (bottom ? b : 1 - t) / h);
  w *= most;
  h *= most;
  return tidy([right ? r - w : l, bottom ? b - h : t, right ? r : l + w, bottom ? b : t + h]);
}

/** The largest crop of a shape round the middle of another; 0: the frame's own shape. */
export function cropShaped(c: Crop, shape: number, frame: number): [number, number, number, number] {
  if (!(shape > 0)) return [0, 0, 1, 1];
  const ratio = shape / frame, w = Math.min(1, ratio), h = w / ratio;
  const cx = Math.min(1 - w / 2, Math.max(w / 2, (c[0] + c[2]) / 2)),
    cy = Math.min(1 - h / 2, Math.max(h / 2, (c[1] + c[3]) / 2));
  return tidy([cx - w / 2, cy - h / 2, cx + w / 2, cy + h / 2]);
}

const tidy = (c: [number, number, number, number]): [number, number, number, number] =>
  c.map((v) => Math.round(Math.min(1, Math.max(0, v)) * 1000) / 1000) as [number, number, number, number];

/** Which type of a cover lies at a place of the crop, shares of it; nothing: none, or outside. */
export function typeAt(k: CoverView, x: number, y: number): "" | "title" | "lines" {
  if (!(x >= 0 && x <= 1 && y >= 0 && y <= 1)) return "";
  if (y < k.title) return "title";
  const left = k.lines === "left" || k.lines === "both", right = k.lines === "right" || k.lines === "both";
  return (left && x < k.column) || (right && x > 1 - k.column) ? "lines" : "";
}
