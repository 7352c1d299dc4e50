// Everything of the shoot file in forms made from the one description that the program gives.
import { wallLength } from "../model/room.ts";
import { child, entries, fieldAt, find, inShort, join, steps, titleOf } from "../model/tree.ts";
import type { FormField, FormGroup, TreeNode } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { length } from "../units/measures.ts";
import { m, type Markup } from "../units/markup.ts";
import { messagesAt, row, says } from "./field.ts";

/** Groups of more fields than this get a page of their own. */
const large = 8;

const cap = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);
const errors = (p: Page, path: string): number => messagesAt(p, path, true)
  .filter((x) => x.severity === "error").length;

const link = (p: Page, path: string, words: string, count: string, deep: number): Markup => {
  const bad = errors(p, path);
  return m`<button class="d${deep}${p.node === path ? " on" : ""}" data-act="edgo" data-path="${path}"
    data-key="nav-${path}" ${p.node === path ? m`aria-current="page"` : ""}><span>${words}</span>
    <small>${bad ? `${bad} wrong` : count}</small></button>`;
};

/** The parts of the file; of the one shown its parts as well. */
export function editNav(p: Page): Markup {
  const f = p.form, root = p.tree?.root;
  if (!f || !root) return m``;
  const parts = (path: string, group: string, deep: number): Markup =>
    m`${(f.groups[group]?.fields ?? []).filter((x) => x.kind === "group" &&
      (x.many || (f.groups[x.group]?.fields.length ?? 0) > large)).map((x) => {
    const at = join(path, x.key), n = find(root, at);
    return link(p, at, cap(x.key), x.many ? String(entries(n).length) : n ? "" : "none", deep);
  })}`;
  return m`${(f.groups["file"]?.fields ?? []).filter((x) => x.kind === "group").map((x) => {
    if (!x.many) return m`${link(p, x.key, cap(x.key), "", 0)}${p.node === x.key || p.node.startsWith(`${x.key}.`)
        ? parts(x.key, x.group, 1) : ""}`;
    const list = entries(find(root, x.key));
    return m`${link(p, x.key, cap(x.key), String(list.length), 0)}${list.map((n, i) => {
      const at = `${x.key}[${i}]`;
      return m`${link(p, at, titleOf(n, `${x.key} ${i + 1}`), "", 1)}${p.node === at || p.node.startsWith(`${at}.`)
        ? parts(at, x.group, 2) : ""}`;
    })}`;
  })}`;
}

function crumbs(p: Page): Markup {
  let path = "";
  const out: Markup[] = [];
  for (const s of steps(p.node)) {
    path = typeof s === "number" ? `${path}[${s}]` : join(path, s);
    const words = typeof s === "number" ? titleOf(find(p.tree?.root, path), `${s + 1}`) : cap(s);
    out.push(path === p.node ? m`<h2>${words}</h2>` : m`<button class="lnk" data-act="edgo" data-path="${path}"
      data-key="cr-${path}">${words}</button><span aria-hidden="true">/</span>`);
  }
  return m`${out}`;
}

const act = (a: string, path: string, words: string, label = words, arg = "", text = ""): Markup =>
  m`<button data-act="${a}" data-path="${path}" data-arg="${arg}"${text ? m` data-text="${text}"`
    : ""} data-key="${a}-${path}-${arg}" aria-label="${label}">${words}</button>`;

/** The form of the path shown. */
export function editForm(p: Page): Markup {
  const f = p.form, root = p.tree?.root;
  if (!f) return m`<p class="none">The form is being fetched.</p>`;
  if (!root) return m`<p class="none">The text has a mistake in its writing, so its settings cannot be told
      apart. <button class="lnk" data-act="pane" data-arg="text">mend it in the text</button></p>`;
  const { field, entry, group } = fieldAt(f, p.node), n = find(root, p.node), g = f.groups[group];
  const list = field?.many === true && !entry;
  const lost = p.treeLost;
  const head = m`<div class="hd crumbs">${crumbs(p)}<span class="end">
    ${entry && n ? m`${act("edcopy", p.node, "copy", `copy this entry`)}${act("edremove", p.node, "remove",
      "remove this entry")}` : ""}</span></div>
    ${lost ? m`<p class="fmsg error"><b>error</b> The text cannot be read as it stands; this is what it said
      last. <button class="lnk" data-act="pane" data-arg="text">mend it in the text</button></p>` : ""}`;
  if (!g || !field) return m`${head}<p class="none">There is nothing here any more.</p>`;
  const about = !entry && field?.says
    ? m`<p class="about">${field.says}${p.node === "kit"
      ? ". What is absent is as the generic catalogue has it: say here what you own, how many, and what you "
      + "have measured" : ""}.</p>` : m``;
  const body = list ? rows(p, field, p.node, n, g)
    : m`${says(p, p.node)}${fields(p, g, p.node, n)}${p.node === "room" ? walls(p) : ""}${p.node === "shoot"
      ? file(p) : ""}`;
  const names = Object.entries(p.tree?.names ?? {})
    .map(([k, v]) => m`<datalist id="dl-${k.replace(/ /g, "-")}" data-key="dl-${k}">
      ${v.map((w) => m`<option value="${w}"></option>`)}</datalist>`);
  return m`${head}<div class="fields" data-key="page-${p.node}">${about}${body}</div>${names}`;
}

/** The spelling that a message proposes for an unknown key. */
function spelt(p: Page, path: string): Markup {
  const key = messagesAt(p, path).map((x) => x.fix?.match(/^write "([^"]+)"$/)?.[1]).find((x) => x !== undefined);
  return key ? act("edrename", path, `spell it ${key}`, `spell it ${key}`, key) : m``;
}

/** All settings of a group: single ones, then its parts. */
function fields(p: Page, g: FormGroup, path: string, n: TreeNode | undefined): Markup {
  const single = g.fields.filter((x) => x.kind !== "group"), parts = g.fields.filter((x) => x.kind === "group");
  const strange = (n?.kind === "map" ? n.keys ?? [] : []).filter((k) => !g.fields.some((x) => x.key === k));
  return m`${strange.map((k) => {
    const at = join(path, k);
    return m`<div class="fr bad" data-key="fr-${at}"><div class="fn"><span class="key">${k}</span><span class="cap">
      ${inShort(child(n, k))}</span></div><div class="fv">${says(p, at, true)}${spelt(p, at)}${act("edremove", at,
        "remove", `remove ${k}`)}</div></div>`;
  })}${single.map((x) => row(p, x, join(path, x.key), child(n, x.key)))}${parts.map((x) =>
    part(p, x, join(path, x.key), child(n, x.key)))}`;
}

function part(p: Page, f: FormField, path: string, n: TreeNode | undefined): Markup {
  const g = p.form?.groups[f.group];
  if (!g) return m``;
  const head = (tail: Markup): Markup => m`<div class="ph"><h3>${cap(f.key)}</h3><span class="cap">${f.says}</span>
    <span class="end">${tail}</span></div>`;
  if (f.many) return m`<div class="part" data-key="part-${path}" data-at="${path}">
      ${head(m``)}${rows(p, f, path, n, g)}</div>`;
  if (!n && !p.open.has(path)) return m`<div class="part shut" data-key="part-${path}">
      ${head(act("edopen", path, "add", `add ${f.key}`))}</div>`;
  if (g.fields.length > large) return m`<div class="part shut" data-key="part-${path}">
      ${head(m`${act("edgo", path, "open", `open ${f.key}`)}`)}<p class="cap">${inShort(n, 120)}</p>
      ${says(p, path)}</div>`;
  return m`<div class="part" data-key="part-${path}" data-at="${path}">
    ${head(act("edremove", path, "remove", `remove ${f.key}`))}${says(p, path)}${fields(p, g, path, n)}</div>`;
}

/** The entries of a list, and what can be added. */
function rows(p: Page, f: FormField, path: string, n: TreeNode | undefined, g: FormGroup): Markup {
  const list = entries(n), bare = n !== undefined && n.kind !== "list";
  // Of the catalogue's own things the file says how many there are, and what is known better.
  const known = path.startsWith("kit.")
    ? (p.tree?.names[f.key] ?? []).filter((k) => !list.some((x) => child(x, "name")?.text === k)) : [];
  return m`<ul class="rows">${list.map((x, i) => {
    const at = bare ? path : `${path}[${i}]`, title = titleOf(x, `${f.key} ${i + 1}`), bad = errors(p, at);
    return m`<li data-key="row-${at}" class="${bad ? "bad" : ""}"><button class="go" data-act="edgo" data-path="${at}"
      data-key="go-${at}"><b>${title}</b><span>${inShort(x)}</span>${bad ? m`<em>${bad} wrong</em>` : ""}</button>
      ${bare ? "" : act("edcopy", at, "copy", `copy ${title}`)}${act("edremove", at, "remove",
        `remove ${title}`)}</li>`;
  })}</ul>${says(p, path)}<div class="adds">
    ${g.new.map((x) => act("edadd", path, `add ${x.words}`, `add ${x.words} to ${f.key}`, x.value,
      x.words.replace(/^(?:an? )/, "")))}${known.length
      ? m`<select data-act="edaddkit" data-path="${path}" data-key="ck-${path}"
        aria-label="add to ${f.key} from the catalogue"><option value="">add from the catalogue …</option>
        ${known.map((k) => m`<option value="${k}">${k}</option>`)}</select>` : ""}</div>`;
}

/** Where the shoot is kept, and another place for it. */
function file(p: Page): Markup {
  const s = p.state;
  if (!s) return m``;
  const now = s.demonstration ? "The demonstration lives in memory until it is saved under a name."
    : `${s.file}: ${s.saved ? "everything is saved" : s.draft ? "has errors; the last good text is saved"
      : "not yet on disk"}.`;
  return m`<div class="part" data-key="file"><div class="ph"><h3>File</h3><span class="cap">${now}</span></div>
    <div class="fr"><div class="fn"><span class="key">save under another name</span>
    <span class="cap">a new folder, or a new file that ends in .yaml; it is written there and work goes on with
    that</span></div><div class="fv"><input type="text" spellcheck="false" autocomplete="off" data-key="savename"
    data-own="${s.file}" data-enter="edsave" aria-label="new folder or file" value="">
    ${act("edsave", "", "save", "save under this name")}</div></div></div>`;
}

/** Lengths of the walls, to be typed. */
function walls(p: Page): Markup {
  const o = p.view?.room.outline ?? [];
  if (o.length < 3) return m``;
  return m`<div class="part" data-key="walls"><div class="ph"><h3>Lengths of the walls</h3>
    <span class="cap">typing one moves the wall behind it; the plan beside has corners and walls to drag</span></div>
    <div class="fr"><div class="fn"></div><div class="fv"><span class="tuple wrap">
    ${o.map((_, i) => m`<label data-key="wl${i}"><i>wall ${i + 1}</i><input type="text" spellcheck="false"
      autocomplete="off" data-act="wall" data-n="${i}" data-key="wall${i}"
      value="${length(wallLength(o, i), p.units)}" aria-label="length of wall ${i + 1}"></label>`)}</span></div>
    </div></div>`;
}

/** Head of what stands beside the form: plan or text, and the units. */
export function besideHead(p: Page): Markup {
  const b = (a: string, arg: string | number, on: boolean, words: string): Markup =>
    m`<button data-act="${a}" data-arg="${arg}" data-key="${a}${arg}" class="${on ? "on" : ""}"
      aria-pressed="${on ? "true" : "false"}">${words}</button>`;
  return m`<div class="seg2" role="group" aria-label="Form, and beside it">
    ${b("edpart", "form", p.edit === "form", "Form")}${b("edbeside", "plan", p.beside === "plan",
      "Plan")}${b("edbeside", "text", p.beside === "text", "Text")}</div><div class="seg2 end" role="group"
    aria-label="Units">${b("edlengths", "metres", p.units.lengths === "metres", "metres")}${b("edlengths", "feet",
      p.units.lengths === "feet", "feet")}${b("edclock", 24, p.units.clock === 24, "24 h")}${b("edclock", 12,
      p.units.clock === 12, "12 h")}</div>`;
}
