// Where two small pictures differ most: the part worth looking at when a change is weighed up.

/** Left, top, width, height as shares of the picture; the same shape as the picture. */
export type Part = readonly [number, number, number, number];

const least = 0.45;

/**
 * The part that holds the cells which differ by half of the most, or null where nothing differs to
 * the eye. Pixels are RGBA rows of equal size; also is a place that must be seen with it.
 */
export function changed(a: ArrayLike<number>, b: ArrayLike<number>, w: number, h: number,
  also?: readonly [number, number]): Part | null {
  const cells = 16, gw = Math.min(cells, w), gh = Math.min(Math.round((cells * h) / w) || 1, h),
    sum = new Float64Array(gw * gh), count = new Float64Array(gw * gh);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const i = (y * w + x) * 4, k = Math.floor((y * gh) / h) * gw + Math.floor((x * gw) / w);
      // Signed sums, so that grain cancels within a cell and a change does not.
      sum[k] = (sum[k] ?? 0) + ((b[i] ?? 0) - (a[i] ?? 0)) + 2 * ((b[i + 1] ?? 0) - (a[i + 1] ?? 0)) +
        ((b[i + 2] ?? 0) - (a[i + 2] ?? 0));
      count[k] = (count[k] ?? 0) + 4;
    }
  }
  const cell = sum.map((v, k) => Math.abs(v) / (count[k] || 1)), most = Math.max(...cell);
  if (!(most > 3)) return null; // of 255
  let x0 = gw, y0 = gh, x1 = 0, y1 = 0;
  cell.forEach((v, k) => {
    if (v < most / 2) return;
    const x = k % gw, y = Math.floor(k / gw);
    x0 = Math.min(x0, x); x1 = Math.max(x1, x + 1); y0 = Math.min(y0, y); y1 = Math.max(y1, y + 1);
  });
  if (also) {
    const x = Math.floor(also[0] * gw), y = Math.floor(also[1] * gh);
    x0 = Math.min(x0, Math.max(0, x - 2)); x1 = Math.max(x1, Math.min(gw, x + 3)); y0 =
      Math.min(y0, Math.max(0, y - 2)); y1 = Math.max(y1, Math.min(gh, y + 3));
  }
  const size = Math.min(1, Math.max(least, (x1 - x0 + 2) / gw, (y1 - y0 + 2) / gh));
  const at = (c: number) => Math.min(1 - size, Math.max(0, c - size / 2));
  return [at((x0 + x1) / 2 / gw), at((y0 + y1) / 2 / gh), size, size];
}
