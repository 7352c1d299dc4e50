// A button names an action: its title teaches the key, and it is off where the action cannot be done.
import { keysOf, press, type Press } from "../actions/action.ts";
import { actionOf } from "../actions/registry.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";

export interface ButtonLook extends Partial<Press> {
  /** Pressed in or not; absent: it does not stay. */
  on?: boolean;
  /** What it says to who does not see it, where that is not its words. */
  label?: string;
  cls?: string;
  /** data-key, where the action and what it is told do not tell it from others. */
  key?: string;
  title?: string;
  /** It is off although the action can be done. */
  off?: boolean;
  /** Its key is written in it. */
  teach?: boolean;
}

export function button(p: Page, name: string, words: string | Markup, look: ButtonLook = {}): Markup {
  const a = actionOf(name), x = press(look), keys = a ? keysOf(a) : "", why = a?.can?.(p, x) ?? "";
  const key = look.key ?? [name, x.arg, x.path, look.n ?? "", look.by ?? ""].filter((s) => s !== "").join("-");
  const title = look.title ?? why ?? "";
  const said = title || (keys ? `${a?.words ?? ""} (${keys})` : a?.words ?? "");
  return m`<button data-act="${name}" data-key="${key}"${x.arg ? m` data-arg="${x.arg}"` : ""}${x.path
    ? m` data-path="${x.path}"` : ""}${look.n === undefined ? ""
    : m` data-n="${x.n}"`}${look.by === undefined ? "" : m` data-by="${x.by}"`}${look.cls || look.on
      ? m` class="${[look.cls ?? "", look.on ? "on" : ""].filter(Boolean).join(" ")}"` : ""}${look.on === undefined ? ""
    : m` aria-pressed="${look.on ? "true" : "false"}"`}${look.label ? m` aria-label="${look.label}"` : ""}${said
      ? m` title="${said}"` : ""}${why || look.off
    ? m` disabled` : ""}>${words}${look.teach && keys ? m`<kbd>${keys}</kbd>` : ""}</button>`;
}

export interface Choice { value: string; words: string; on?: boolean }

/** A list to choose from that names an action. */
export function choose(name: string, label: string, list: readonly Choice[],
  look: { arg?: string; path?: string; key?: string; cls?: string } = {}): Markup {
  return m`<select data-act="${name}" data-key="${look.key ?? `${name}${look.arg ?? ""}`}"${look.arg
    ? m` data-arg="${look.arg}"` : ""}${look.path ? m` data-path="${look.path}"` : ""}${look.cls
    ? m` class="${look.cls}"` : ""} aria-label="${label}">
      ${list.map((c) => m`<option value="${c.value}"${c.on ? m` selected` : ""}>${c.words}</option>`)}</select>`;
}
