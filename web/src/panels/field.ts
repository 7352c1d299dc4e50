// One setting of the form: its name, its meaning, what the file says, what is wrong with it.
import { entries, find, join } from "../model/tree.ts";
import type { FormField, Message, TreeNode } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { length, said, writtenLength } from "../units/measures.ts";
import { m, type Markup } from "../units/markup.ts";
import { allMessages } from "./text.ts";

export const dashed = (path: string): string => path.replace(/[^A-Za-z0-9]+/g, "-");

/** Messages about a path, and where deep about what is inside it as well. */
export function messagesAt(p: Page, path: string, deep = false): Message[] {
  return allMessages(p).filter((x) => {
    const at = x.at?.path;
    return at !== undefined && (at === path || (deep && (at.startsWith(`${path}.`) || at.startsWith(`${path}[`))));
  });
}

export const says = (p: Page, path: string, deep = false): Markup =>
  m`${messagesAt(p, path, deep).map((x, i) => m`<p class="fmsg ${x.severity}" data-key="m${i}">
    <b>${x.severity}</b> ${x.text}${x.fix ? m` <i>${x.fix}</i>` : ""}</p>`)}`;

/** What the file says, as this person reads it. */
export function shown(p: Page, f: FormField, text: string): string {
  if (text === "") return "";
  if (f.kind === "clock") return said(text, p.units);
  if (f.kind === "quantity" && f.noun === "length") return writtenLength(text, p.units);
  if (f.kind === "quantity" && /^[-+]?[\d.]+$/.test(text)) {
    if (f.noun === "share") return `${Number((Number(text) * 100).toFixed(2))} %`;
    if (f.noun === "sensitivity") return `ISO ${text}`;
    return f.unit ? `${text} ${f.unit}` : text;
  }
  return text;
}

/** An empty field says its default, else an example. */
function hint(p: Page, f: FormField): string {
  if (f.default) return f.kind === "flag" ? "" : shown(p, f, f.default);
  return f.like ? `like ${shown(p, f, f.like).replace(/^like /, "")}` : "";
}

/** Bounds in words, in the person's unit. */
function bounds(p: Page, f: FormField): string {
  const v = (x: number): string => (f.noun === "length" ? length(x, p.units) : f.noun === "share" ? `${x * 100} %`
    : `${x}${f.unit ? ` ${f.unit}` : ""}`);
  // That a size is over nothing and under a kilometre need not be said.
  const said = [f.over !== undefined && f.over !== 0 ? `over ${v(f.over)}` : "",
    f.least !== undefined && f.least !== 0 && f.least > -1000 ? `at least ${v(f.least)}` : "",
    f.most !== undefined && f.most < 1000 ? `at most ${v(f.most)}` : ""].filter(Boolean);
  return said.join(", ");
}

const axes: Record<string, readonly string[]> = { at: ["x", "y", "z"], path: ["x", "y", "z"],
  polygon: ["x", "y", "z"], outline: ["x", "y"], outlets: ["x", "y"], exits: ["x", "y"], detectors: ["x", "y", "z"],
  from: ["x", "y", "z"], area: ["x", "y"], shift: ["right", "up"], heights: ["lowest", "highest"],
  aperture: ["widest", "smallest"], shutter: ["longest", "shortest"], iso: ["lowest", "highest"],
  bicolour: ["warmest", "coldest"], spectrum: ["nm", "value"] };

function axis(f: FormField, i: number): string {
  const most = Math.max(...f.counts);
  if (f.key === "size") return (most === 3 ? ["x", "y", "z"] : ["width", "height"])[i] ?? String(i + 1);
  return axes[f.key]?.[i] ?? String(i + 1);
}

const shut = (f: FormField): boolean => f.names !== "" && !["surfaces", "colours", "directions", "targets", "points",
  "sitter", "lamps"].includes(f.names);

/** The control for one single value. */
export function control(p: Page, f: FormField, path: string, text: string, label: string, extra: Markup = m``): Markup {
  const bad = messagesAt(p, path, true).some((x) => x.severity === "error"), key = `fd-${path}`;
  const common = m`data-act="field" data-path="${path}" data-key="${key}" aria-label="${label}" ${bad
    ? m`aria-invalid="true"` : ""} ${extra}`;
  if (f.kind === "long") return m`<textarea rows="3" ${common}>${text}</textarea>`;
  const words = f.words.length ? f.words : shut(f) ? p.tree?.names[f.names] ?? [] : [];
  if (words.length) {
    const now = words.find((w) => w.toLowerCase() === text.toLowerCase());
    return m`<select ${common}><option value="" ${text === "" ? m`selected` : ""}>
      ${f.default ? `${f.default} (usual)` : f.need ? "choose" : "none"}</option>
      ${text && !now ? m`<option value="${text}" selected>${text}</option>`
        : ""}${words.map((w) => m`<option value="${w}" ${w === now ? m`selected` : ""}>${w}</option>`)}</select>`;
  }
  const list = f.names ? `dl-${f.names.replace(/ /g, "-")}` : f.usual.length ? `dl-${dashed(path)}` : "";
  return m`<input type="text" spellcheck="false" autocomplete="off" ${f.kind === "quantity" || f.kind === "number" ||
    f.kind === "whole" ? m`inputmode="text"` : ""} ${list ? m`list="${list}"` : ""} value="${shown(p, f, text)}"
    placeholder="${hint(p, f)}" ${common}>${f.kind === "number" && f.unit ? m`<span class="unit">${f.unit}</span>`
      : ""}${list && !f.names ? m`<datalist id="${list}">${f.usual.map((w) => m`<option value="${w}"></option>`)}
        </datalist>` : ""}`;
}

/** Several numbers in brackets. */
function tuple(p: Page, f: FormField, path: string, n: TreeNode | undefined, label: string): Markup {
  const most = Math.max(...f.counts), least = Math.min(...f.counts), items = entries(n);
  return m`<span class="tuple">
    ${Array.from({ length: most }, (_, i) => m`<label><i>${axis(f, i)}${i >= least ? " (may be left out)" : ""}</i>
      <input type="text" spellcheck="false" autocomplete="off" data-act="fieldpart" data-path="${path}" data-n="${i}"
      data-key="fp${i}-${path}" value="${items[i] ? shown(p, f, items[i]?.text ?? "") : ""}"
      aria-label="${label} ${axis(f, i)}" ${messagesAt(p, path, true).some((x) => x.severity === "error")
        ? m`aria-invalid="true"` : ""}></label>`)}</span>`;
}

const button = (act: string, path: string, words: string, label: string, arg = "", text = ""): Markup =>
  m`<button data-act="${act}" data-path="${path}" data-arg="${arg}"${text ? m` data-text="${text}"`
    : ""} data-key="${act}-${path}-${arg}" aria-label="${label}">${words}</button>`;

function list(p: Page, f: FormField, path: string, n: TreeNode | undefined): Markup {
  const one = { ...f, many: false }, items = entries(n), bare = n?.kind === "text";
  const start = f.counts.length
    ? `[${Array.from({ length: Math.max(...f.counts) },
      (_, i) => (f.key === "path" || f.key === "detectors" ? [0.5, 0.5, 2][i] : f.key === "spectrum" ? [550, 0.5][i]
        : 0.5)).join(", ")}]` : "";
  const words = f.words.length ? f.words : p.tree?.names[f.names] ?? f.usual;
  const add = `add ${f.key === "outline" ? "a corner" : f.key === "outlets" ? "an outlet" : "one"}`;
  return m`<div class="many">${items.map((x, i) => {
    const at = bare ? path : `${path}[${i}]`, label = `${f.key} ${i + 1}`;
    return m`<div class="one" data-key="one-${at}">${f.counts.length ? tuple(p, one, at, x, label)
      : control(p, one, at, x.text ?? "", label)}${button("edremove", at, "remove", `remove ${label}`)}${says(p, at,
        true)}</div>`;
  })}${start ? button("edadd", path, add, `${add} to ${f.key}`, start, add.replace(/^add (?:an? )?/, ""))
    : m`<select data-act="edaddword" data-path="${path}" data-key="aw-${path}" aria-label="add to ${f.key}">
      <option value="">add …</option>${words.filter((w) => !items.some((x) => x.text === w))
        .map((w) => m`<option value="${w}">${w}</option>`)}</select>`}</div>`;
}

function map(p: Page, f: FormField, path: string, n: TreeNode | undefined): Markup {
  const keys = n?.keys ?? [], left = (p.tree?.names[f.names] ?? []).filter((k) => !keys.includes(k));
  const of: FormField = { ...f, kind: "surface", names: "surfaces", many: false };
  return m`<div class="many">${keys.map((k, i) => {
    const at = join(path, k);
    return m`<div class="one" data-key="one-${at}"><span class="key">${k}</span>
      ${value(p, of, at, n?.items?.[i], k)}${button("edremove", at, "remove", `remove ${k}`)}${says(p, at,
        true)}</div>`;
  })}${left.length ? m`<select data-act="edaddkey" data-path="${path}" data-key="ak-${path}"
    aria-label="add to ${f.key}"><option value="">add …</option>
    ${left.map((k) => m`<option value="${k}">${k}</option>`)}</select>` : ""}</div>`;
}

/** A target that is a place is three lengths. */
export const asPlace = (f: FormField): FormField => (
  f.kind === "target" ? { ...f, key: "at", kind: "quantity", noun: "length", unit: "m", counts: [3] } : f);

/** A value that may be written in one line or as settings. */
function value(p: Page, f: FormField, path: string, n: TreeNode | undefined, label: string): Markup {
  if (n?.kind === "map" && f.group)
    return m`<div class="inner">
      ${(p.form?.groups[f.group]?.fields ?? []).filter((x) => find(n, x.key) || p.open.has(path))
        .map((x) => row(p, x, join(path, x.key), find(n, x.key)))}${p.open.has(path) ? ""
        : button("edopen", path, "more settings", `more settings of ${label}`)}</div>`;
  if (n?.kind === "list" && f.kind === "target") return m`${tuple(p, asPlace(f), path, n, label)}
      <select data-act="field" data-path="${path}" data-key="fd-${path}" aria-label="${label}: a name instead">
      <option value="">a place; or choose a name</option>
      ${(p.tree?.names[f.names] ?? []).map((w) => m`<option value="${w}">${w}</option>`)}</select>`;
  if (n?.kind === "list") return m`<input type="text" spellcheck="false" data-act="fieldraw" data-path="${path}"
      data-key="fd-${path}" aria-label="${label}" value="${raw(n)}">`;
  return control(p, f, path, n?.text ?? "", label);
}

const raw = (n: TreeNode): string => (n.kind === "list" ? `[${(n.items ?? []).map(raw).join(", ")}]` : n.text ?? "");

/** One row: name and meaning to the left, what the file says to the right. */
export function row(p: Page, f: FormField, path: string, n: TreeNode | undefined): Markup {
  const label = f.key, b = bounds(p, f),
    tail = f.kind === "colour" ? button("pick", path, "pick", `pick ${label} on the chart`) : m``;
  const body = f.many ? list(p, f, path, n)
    : f.kind === "map" ? map(p, f, path, n)
    : f.counts.length ? tuple(p, f, path, n, label)
    : f.kind === "flag" ? m`<label class="flag"><input type="checkbox" data-act="flag" data-path="${path}"
      data-key="fd-${path}" ${(n?.text ?? f.default) === "true" ? m`checked` : ""}>
      <span>${(n?.text ?? f.default) === "true" ? "yes" : "no"}</span></label>`
    : value(p, f, path, n, label);
  const bad = messagesAt(p, path, true);
  return m`<div class="fr${bad.some((x) => x.severity === "error") ? " bad" : ""}" data-key="fr-${path}"
    data-at="${path}"><div class="fn"><span class="key">${f.key}${f.need ? m`<i> needed</i>` : ""}</span>
    <span class="cap">${f.says.replace(/;? ?like `[^`]*`$/, "")}${b ? m`<em>${f.says ? "; " : ""}${b}</em>` : ""}
    </span></div><div class="fv">${body}${tail}${f.many || f.kind === "map" ? says(p, path) : says(p, path, true)}
    </div></div>`;
}
