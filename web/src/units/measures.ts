// Lengths and times of day as the person wants them shown, and back from what
// they type. What the file says stays metres and 24 hours
// unless feet were typed.
import { lengthText, parseMetres, plain } from "./stops.ts";

export interface Units {
  lengths: "metres" | "feet";
  clock: 24 | 12;
}

/** Feet and inches to a quarter inch: 7 ft 10¼ in; under three feet in inches alone. */
export function feet(v: number): string {
  const quarters = Math.round((Math.abs(v) / 0.0254) * 4);
  const sign = v < 0 && quarters > 0 ? "\u2212" : "";
  const whole = Math.floor(quarters / 4), part = ["", "¼", "½", "¾"][quarters % 4] ?? "";
  const ft = whole >= 36 ? Math.floor(whole / 12) : 0, inch = whole - ft * 12;
  const inches = inch === 0 && part ? part : `${inch}${part}`;
  return `${sign}${ft ? `${ft} ft${inch || part ? ` ${inches} in` : ""}` : `${inches} in`}`;
}

/**
 * A length with its unit; what is under ten centimetres stays in
 * millimetres for both, as lenses and tubes are said.
 */
export function length(v: number, u: Units): string {
  if (!Number.isFinite(v)) return "–";
  const minus = v < 0 ? "\u2212" : "";
  if (v !== 0 && Math.abs(v) < 0.1) return `${minus}${plain(Math.abs(v) * 1000, 1)} mm`;
  return u.lengths === "feet" ? feet(v) : `${minus}${Math.abs(v).toFixed(2)} m`;
}

/** A length as drawings write it, short: 2.40 (metres go without saying there, in a field they are said) or 7′ 10″. */
export const drawn = (v: number, u: Units, field = false): string =>
  `${lengthText(v, u.lengths === "feet")}${field && u.lengths !== "feet" ? " m" : ""}`;

/** A length of the file as it is shown: as written where that is metric already, in the person's unit else. */
export function writtenLength(text: string, u: Units): string {
  const v = parseMetres(text);
  if (v === null) return text;
  if (u.lengths === "feet") return length(v, u);
  if (/[a-z]\s*$/i.test(text) && !/(ft|feet|foot|in|inch|inches)\s*$/i.test(text)) return text.trim();
  if (/(ft|feet|foot|in|inch|inches|'|")\s*$/i.test(text)) return length(v, u);
  return `${plain(v, 4)} m`;
}

/**
 * What the file shall say for a length typed: a bare number is in the
 * person's unit; feet stay feet. Not understood: as typed.
 */
export function typedLength(typed: string, u: Units): string {
  const t = typed.trim().replace(/\u2212/g, "-").replace(/(\d)\s*¼/g, "$1.25").replace(/(\d)\s*½/g, "$1.5")
    .replace(/(\d)\s*¾/g, "$1.75").replace(/¼/g, "0.25").replace(/½/g, "0.5").replace(/¾/g, "0.75")
    .replace(/(\d),(\d)/g, "$1.$2");
  if (u.lengths === "feet" && /^-?[\d.]+$/.test(t)) return `${t} ft`;
  if (/^-?[\d.]+$/.test(t)) return `${t} m`;
  const v = parseMetres(t);
  if (v === null) return t;
  const ft = t.match(/^(-?[\d.]+)\s*(?:ft|feet|foot|')\s*([\d.]+)?\s*(?:in|inch|inches|")?$/i);
  return ft ? `${ft[1]} ft${ft[2] ? ` ${ft[2]} in` : ""}` : t;
}

/** Metres from a length typed; a bare number is in the person's unit. Not understood: null. */
export const readLength = (typed: string, u: Units): number | null => parseMetres(typedLength(typed, u));

/** Minutes after midnight from 17:40, 17.40, 1740, 5:40 pm, 5pm, 24:00. Not understood: null. */
export function parseClock(text: string): number | null {
  const t = text.trim().toLowerCase(), m = t.match(/^(\d{1,2})(?:[:.h ]?(\d{2}))?\s*(a\.?m\.?|p\.?m\.?)?$/);
  if (!m) return null;
  const typed = Number(m[1]), min = Number(m[2] ?? 0), half = m[3]?.[0];
  if (min > 59 || typed > 24 || (half && (typed < 1 || typed > 12)) || (typed === 24 && min > 0)) return null;
  return ((half ? typed % 12 : typed) + (half === "p" ? 12 : 0)) * 60 + min;
}

const two = (n: number): string => String(n).padStart(2, "0");

/** A time of day as shown. */
export function clock(minutes: number, u: Units): string {
  const all = Math.round(minutes), h = Math.floor(all / 60), m = two(all % 60);
  return u.clock === 24 ? `${two(h)}:${m}` : `${h % 12 || 12}:${m} ${h % 24 < 12 ? "am" : "pm"}`;
}

/** A time of the file as this person reads it; what is none stays. */
export function said(text: string, u: Units): string {
  const c = parseClock(text);
  return c === null ? text : clock(c, u);
}

/** As the file writes it. */
export const fileClock = (minutes: number): string => clock(minutes, { lengths: "metres", clock: 24 });
