// How a photograph lies under the frame.

/**
 * The CSS transform that takes a picture of w × h pixels by a homography in shares (rows of a 3 × 3 matrix);
 * its origin is the top left.
 */
export function warpCSS(h: readonly number[], w: number, high: number): string {
  const [a = 1, b = 0, c = 0, d = 0, e = 1, f = 0, g = 0, k = 0, l = 1] = h;
  const m = [a, (d * high) / w, 0, g / w, (b * w) / high, e, 0, k / high, 0, 0, 1, 0, c * w, f * high, 0, l];
  return `matrix3d(${m.map((v) => Number(v.toPrecision(7))).join(",")})`;
}
