// Markup as strings that escape what they are given.

/** An element inside markup that is left alone while it says what it said before; see morph. */
export interface Kept {
  key: string;
  text: string;
  /** The same element with nothing in it. */
  stub: string;
  /** It has fields, which may hold what a person typed. */
  fields: boolean;
  /** How many that follow are inside it. */
  inner: number;
}

/** Text that is markup already. */
export class Markup {
  /** kept in the order of the text, an outer one before those inside it. */
  constructor(readonly text: string, readonly kept: readonly Kept[] = []) {}
  toString(): string { return this.text; }
}

export const hasFields = (text: string): boolean => /<(input|select|textarea)/.test(text);

/** One element with a data-key that no other has in what is put with it: where it stays the same it costs nothing. */
export function kept(e: Markup): Markup {
  const head = /^<(\w+)[^>]* data-key="([^"&]*)"/.exec(e.text), [, tag = "", key = ""] = head ?? [];
  return head ? new Markup(e.text, [{ key, text: e.text, stub: `<${tag} data-key="${key}" data-same=""></${tag}>`,
    fields: hasFields(e.text), inner: e.kept.length }, ...e.kept]) : e;
}

/** Parts of a drawing that change together. */
export const group = (key: string, ...parts: Part[]): Markup => kept(m`<g data-key="${key}">${parts}</g>`);

type Part = Markup | string | number | false | null | undefined | readonly Part[];

const escapes: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

export const escape = (s: string): string => s.replace(/[&<>"]/g, (c) => escapes[c] ?? c);

function flat(p: Part, all: Kept[]): string {
  if (p === false || p === null || p === undefined) return "";
  if (p instanceof Markup) { if (p.kept.length) all.push(...p.kept); return p.text; }
  if (typeof p === "number") return String(p);
  if (typeof p === "string") return escape(p);
  let out = "";
  for (const x of p) out += flat(x, all);
  return out;
}

const pieces = new WeakMap<TemplateStringsArray, readonly string[]>();

/**
 * The pieces of a template without the breaks of its source: as in JSX, a line break beside a tag
 * or a value is nothing, between words it is one space.
 */
function joined(strings: TemplateStringsArray): readonly string[] {
  let out = pieces.get(strings);
  if (!out) {
    out = strings.map((s) => s.replace(/(^|>)[ ]*\n\s*/g, "$1").replace(/[ ]*\n\s*(?=<|$)/g, "")
      .replace(/[ ]*\n\s*/g, " "));
    pieces.set(strings, out);
  }
  return out;
}

/** A template whose values are escaped, except Markup. Numbers in drawings: round them first. */
export function m(strings: TemplateStringsArray, ...parts: Part[]): Markup {
  const text = joined(strings);
  let out = text[0] ?? "";
  const all: Kept[] = [];
  for (let i = 0; i < parts.length; i++) out += flat(parts[i], all) + (text[i + 1] ?? "");
  return new Markup(out, all);
}

export const r1 = (v: number): number => Math.round(v * 10) / 10;
