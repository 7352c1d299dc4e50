// One thing that a person can do: its words, its keys, whether it can be done
// now, what it does. Menus, keys, buttons, fields and fingers
// all name an action; nothing else changes the shoot or the page.
import type { Page } from "../state/store.ts";
import type { Desk } from "./desk.ts";

/** What a press says beside the action's name. */
export interface Press {
  arg: string;
  path: string;
  n: number;
  /** What stands in the field that was left or is typed into; of a box: "on" or nothing. */
  text: string;
  /** Up or down, more or less; by itself or a whole stop. */
  by: 1 | -1;
  far: boolean;
}

export const press = (x: Partial<Press> = {}): Press => (
  { arg: "", path: "", n: 0, text: "", by: 1, far: false, ...x });

/** A key as it is written, 'Ctrl+Shift+Z', with what it says; where: a selector that what has the focus must lie in. */
export interface Key {
  key: string;
  says?: Partial<Press>;
  where?: string;
  /** A selector in which it does not act: what is there has a use of its own for the key. */
  notOn?: string;
  /** It also acts while a field has the focus. */
  field?: boolean;
}

/** The press itself says what it means. */
export const asSaid = (_: Page, x: Press): Press => x;

export type Group = "picture" | "points and wishes" | "lights" | "camera and hour" | "plan" | "setups" | "day"
  | "library" | "scout" | "kit"
  | "screens" | "file" | "form" | "page";

export interface Action {
  /** As data-act names it. */
  name: string;
  group: Group;
  /** What it does, in words that a person would look for. */
  words: string;
  keys?: readonly Key[];
  /** What its step of undo is called; '…' stands for what differs. Absent: it changes nothing of the shoot. */
  undo?: string;
  /** Where it says no the action is not offered and its keys are free. */
  when?: (p: Page) => boolean;
  /** Why it cannot be done now, as a sentence; empty: it can. */
  can?: (p: Page, x: Press) => string;
  do: (d: Desk, x: Press) => unknown;
  /**
   * It goes by what there is (a switch, a step up, undo): it is done after all that
   * was asked before it. Says what the press means when it comes.
   */
  turn?: (p: Page, x: Press) => Press;
  /** It needs to be told more than the list of actions can tell: it is listed to teach its keys. */
  told?: boolean;
  /** What the list of actions offers in its place: one entry for each thing there is. */
  each?: (p: Page) => { words: string; says: Partial<Press> }[];
  /** A field's action that acts with every stroke, not when the field is left. */
  live?: boolean;
}

const named: Record<string, string> = {
  ArrowUp: "↑", ArrowDown: "↓", ArrowLeft: "←", ArrowRight: "→", Escape: "Esc", " ": "Space", "-": "\u2212",
};

/** A key for showing: 'Shift+ArrowUp' is 'Shift + ↑'. */
export function keyWords(key: string): string {
  const parts = key === "+" ? ["+"] : key.split("+").filter((x) => x !== "");
  if (key.endsWith("++")) parts.push("+");
  return parts.map((x) => named[x] ?? (x.length === 1 ? x.toUpperCase() : x)).join(" + ");
}

/** All keys of an action, shortly: 'Shift + 1 – 9' is one entry. */
export function keysOf(a: Action, short = false): string {
  const all = (a.keys ?? []).map((k) => keyWords(k.key));
  const digits = all.filter((k) => /(^| )[1-9]$/.test(k));
  const rest = all.filter((k) => !digits.includes(k) && !(k.startsWith("Shift + ") && all.includes(k.slice(8)))),
    first = digits[0];
  if (short) return (a.told ? [...new Set(rest)] : rest).slice(0, a.told ? 2 : 1).join(" ");
  return [...(first ? [digits.length > 1 ? `${first} – 9` : first] : []), ...new Set(rest)].join("  ");
}

type Stroke = Pick<KeyboardEvent, "key" | "code" | "ctrlKey" | "metaKey" | "altKey" | "shiftKey">;

/** Whether a stroke is the key. What Shift makes another character of is named by that character. */
export function isKey(key: string, e: Stroke): boolean {
  const parts = key === "+" ? ["+"] : key.split("+").filter((x) => x !== ""),
    last = key.endsWith("++") ? "+" : parts[parts.length - 1] ?? "";
  const ctrl = parts.includes("Ctrl"), alt = parts.includes("Alt"), shift = parts.includes("Shift");
  if (ctrl !== (e.ctrlKey || e.metaKey) || alt !== e.altKey) return false;
  if (alt && /^[1-9]$/.test(last)) return e.code === `Digit${last}`;
  if (last.length > 1 || last === " ") return e.key === last && e.shiftKey === shift;
  if (/[a-z]/i.test(last)) return e.key.toLowerCase() === last.toLowerCase() && e.shiftKey === shift;
  return e.key === last;
}

/** A place in which letters are letters. */
export const isField = (t: EventTarget | null): boolean =>
  typeof HTMLElement !== "undefined" && (t instanceof HTMLTextAreaElement || t instanceof HTMLSelectElement
    || (t instanceof HTMLInputElement && t.type !== "range" && t.type !== "checkbox"));
