// Numbers of the trade as text and back.

export const clamp = (x: number, lo: number, hi: number): number => Math.min(hi, Math.max(lo, x));

/** Signed stops with a true minus: +0.3, −1.1, 0.0. */
export function signed(v: number, digits = 1): string {
  if (!Number.isFinite(v)) return "dark";
  const zero = Math.abs(v) < 0.5 * 10 ** -digits;
  return (zero ? "" : v < 0 ? "\u2212" : "+") + Math.abs(zero ? 0 : v).toFixed(digits);
}

/** Whole stops on a scale: 0, +1, −2. */
export const whole = (s: number): string => (s === 0 ? "0" : signed(s, 0));

const series = ["0.35", "0.5", "0.7", "1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64",
  "90", "128"];

/** An f-number as a whole stop and tenths above it: f/4² is f/4 + 0.2. */
export function fParts(n: number): [string, number] {
  if (!(n > 0) || !Number.isFinite(n)) return ["0", 0];
  const tenths = Math.round(20 * Math.log2(n));
  const stop = Math.floor(tenths / 10);
  return [series[clamp(stop + 3, 0, series.length - 1)] ?? "0", tenths - 10 * stop];
}

/** Read aloud: 'f/4 and two tenths'. */
export function fSpoken(n: number): string {
  const [w, t] = fParts(n);
  return t === 0 ? `f/${w}` : `f/${w} and ${t} tenths`;
}

/** As the shoot file writes it: 'f/4 + 0.2'. */
export function fText(n: number): string {
  const [w, t] = fParts(n);
  return t === 0 ? `f/${w}` : `f/${w} + ${(t / 10).toFixed(1)}`;
}

/** Words of the file with true minus signs, for showing. */
export const minus = (t: string): string => t.replace(/(^|[ (])-(?= ?\d)/g, "$1\u2212");

/** Metres with two decimals, a true minus. */
export const metres = (v: number): string => (v < 0 ? "\u2212" : "") + Math.abs(v).toFixed(2);

/** A length for showing, in the house's unit: 2.40 or 7′ 10″ (to the half inch). */
export function lengthText(v: number, feet: boolean): string {
  if (!feet) return metres(v);
  const halves = Math.round(Math.abs(v) / 0.0127), ft = Math.floor(halves / 24), rest = halves - ft * 24;
  return `${v < 0 && halves > 0 ? "\u2212" : ""}${ft}\u2032 ${rest % 2 ? (rest / 2).toFixed(1) : rest / 2}\u2033`;
}

/** Text for the shoot file: at most three decimals, no trailing zeros. */
export const plain = (v: number, digits = 3): string => String(Number(v.toFixed(digits)));

/**
 * Metres from what a person types: 2.4, 2,4, 2.4 m, 240 cm, 7 ft 10 in, 7' 10". A
 * bare number is in the unit of bare. Not understood: null.
 */
export function parseMetres(text: string, bare: "m" | "ft" = "m"): number | null {
  const t = text.trim().toLowerCase().replace(/\u2212/g, "-").replace(/[\u2032\u2019]/g, "'")
    .replace(/[\u2033\u201d]/g, '"').replace(/(\d),(\d)/g, "$1.$2");
  const feet = t.match(/^(-?[\d.]+)\s*(?:ft|feet|foot|')\s*(?:([\d.]+)\s*(?:in|inch|inches|")?)?$/);
  if (feet) return sane(Math.sign(Number(feet[1]) || 1) *
      (Math.abs(Number(feet[1])) * 0.3048 + Number(feet[2] ?? 0) * 0.0254));
  const inch = t.match(/^(-?[\d.]+)\s*(?:in|inch|inches|")$/);
  if (inch) return sane(Number(inch[1]) * 0.0254);
  const si = t.match(/^(-?[\d.]+)\s*(mm|cm|m)?$/);
  if (!si) return null;
  return sane(Number(si[1]) * (si[2] === "mm" ? 0.001 : si[2] === "cm" ? 0.01 : si[2] === "m" || bare === "m"
    ? 1 : 0.3048));
}

const sane = (v: number): number | null => (Number.isFinite(v) ? v : null);
