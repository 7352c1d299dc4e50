// Markup as strings that escape what they are given.

/** Text that is markup already. */
export class Markup {
  constructor(readonly text: string) {}
  toString(): string { return this.text; }
}

type Part = Markup | string | number | false | null | undefined | readonly Part[];

const escapes: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

export const escape = (s: string): string => s.replace(/[&<>"]/g, (c) => escapes[c] ?? c);

function flat(p: Part): string {
  if (p === false || p === null || p === undefined) return "";
  if (p instanceof Markup) return p.text;
  if (typeof p === "number") return String(p);
  if (typeof p === "string") return escape(p);
  return p.map(flat).join("");
}

/** A template whose values are escaped, except Markup. Numbers in drawings: round them first. */
export function m(strings: TemplateStringsArray, ...parts: Part[]): Markup {
  let out = strings[0] ?? "";
  for (let i = 0; i < parts.length; i++) out += flat(parts[i]) + (strings[i + 1] ?? "");
  return new Markup(out);
}

export const r1 = (v: number): number => Math.round(v * 10) / 10;
