// Colour of lines and chips: a light's own chromaticity at one fixed luminance.

/** sRGB transfer curve, 0 to 1. */
export const encode = (x: number): number => (x <= 0 ? 0 : x >= 1 ? 1 : x <= 0.0031308 ? 12.92 * x
  : 1.055 * x ** (1 / 2.4) - 0.055);

/** Luminance of linear sRGB. */
export const luminance = (c: readonly number[]): number => 0.2126 * (c[0] ?? 0) + 0.7152 * (c[1] ?? 0) +
  0.0722 * (c[2] ?? 0);

/**
 * CSS colour of a tint at luminance y: what leaves the display is pulled
 * towards the grey of the same luminance, not clipped.
 */
export function tint(c: readonly number[], y: number): string {
  const l = luminance(c);
  let v = l > 0 ? c.map((x) => (x * y) / l) : [y, y, y];
  let share = 1;
  for (const x of v) {
    if (x > 1) share = Math.min(share, (1 - y) / (x - y));
    if (x < 0) share = Math.min(share, y / (y - x));
  }
  v = v.map((x) => y + (x - y) * share);
  return `rgb(${v.map((x) => Math.round(255 * encode(x))).join(",")})`;
}

/** The one colour that a light's tint has everywhere on a ground, dark or light. */
export const chip = (c: readonly number[], theme: string): string => tint(c, theme === "booth" ? 0.56 : 0.15);

/** The tone curve of the picture on luminance, see the exposure of a camera. */
export function tone(x: number, t: { join: number; white: number; power: number; sigmoid?: number; half?: number;
  scale?: number }): number {
  if (!(x > 0)) return 0;
  if (x >= t.white) return 1;
  if (t.sigmoid) {
    const p = x ** t.sigmoid;
    return Math.min(1, ((t.scale ?? 1) * p) / (p + (t.half ?? 1)));
  }
  if (x <= t.join) return x;
  return 1 - (1 - t.join) * ((t.white - x) / (t.white - t.join)) ** t.power;
}

/** Linear sRGB of a chromaticity in CIE 1976 u', v' at luminance 1; may lie outside 0 to 1. Matrix: IEC 61966-2-1. */
export function linearOfUV(u: number, v: number): [number, number, number] {
  const x = (9 * u) / (4 * v), z = (12 - 3 * u - 20 * v) / (4 * v);
  return [3.2406 * x - 1.5372 - 0.4986 * z, -0.9689 * x + 1.8758 + 0.0415 * z, 0.0557 * x - 0.204 + 1.057 * z];
}

/** CIE 1976 u', v' of CIE 1931 x, y. */
export function uvOf(x: number, y: number): [number, number] {
  const d = -2 * x + 12 * y + 3;
  return [(4 * x) / d, (9 * y) / d];
}
