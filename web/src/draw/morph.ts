// Puts markup into a part of the page by changing only what differs: focus, scrolling and drags survive.
import { hasFields, type Kept, type Markup } from "../units/markup.ts";

/** Fields that hold what a person has typed and not yet taken: they are left alone. */
export const typing = new WeakSet<Element>();

const template = document.createElement("template");

/** data-css="name:value;…" becomes CSSOM style, because the page allows no inline style. */
function dress(e: Element): void {
  const css = e.getAttribute("data-css");
  if (css === null || !(e instanceof HTMLElement || e instanceof SVGElement)) return;
  for (const rule of css.split(";")) {
    const at = rule.indexOf(":");
    if (at > 0) e.style.setProperty(rule.slice(0, at).trim(), rule.slice(at + 1).trim());
  }
}

const dressAll = (root: Node): void => {
  if (!(root instanceof Element)) return;
  if (root.hasAttribute("data-css")) dress(root);
  for (const e of root.querySelectorAll("[data-css]")) dress(e);
};

const same = (a: Node, b: Node): boolean =>
  a.nodeType === b.nodeType && a.nodeName === b.nodeName && (!(a instanceof Element) || !(b instanceof Element) ||
    a.getAttribute("data-key") === b.getAttribute("data-key"));

/** Sets an attribute where it is another: the browser lays a drawing out anew even for the same viewBox. */
export function attribute(e: Element, name: string, value: string): void {
  if (e.getAttribute(name) !== value) e.setAttribute(name, value);
}

/** Elements of the target that stand for stubs, by key. */
const standing = new Map<string, Element>();

function sync(a: Element, b: Element): void {
  // The browser compares a drawing faster than a walk does; there are no fields in one.
  if (a instanceof SVGElement && a.isEqualNode(b)) return;
  const own = a.getAttribute("data-own");
  for (const name of a.getAttributeNames()) if (!b.hasAttribute(name) && name !== "style") a.removeAttribute(name);
  let restyle = false;
  for (const name of b.getAttributeNames()) {
    const value = b.getAttribute(name) ?? "";
    if (a.getAttribute(name) === value) continue;
    a.setAttribute(name, value);
    if (name === "data-css") restyle = true;
  }
  if (restyle) dress(a);
  if (a instanceof HTMLInputElement && b instanceof HTMLInputElement) {
    if (a.type === "checkbox") a.checked = b.hasAttribute("checked");
    // What a person types into a field of their own stays theirs until the field is another.
    else if (b.hasAttribute("data-own") && own === b.getAttribute("data-own")) return;
    else if ((document.activeElement !== a || !typing.has(a) || a.type === "range") && a.value !== b.value) {
      const all = document.activeElement === a && a.type === "text" && a.selectionEnd === a.value.length;
      a.value = b.value;
      if (all) a.select();
    }
    return;
  }
  children(a, b);
  // A field that was used no longer follows its markup by itself.
  if (a instanceof HTMLSelectElement) {
    const on = [...a.options].find((o) => o.hasAttribute("selected"))?.value ?? a.options[0]?.value ?? "";
    if (a.value !== on) a.value = on;
  }
  if (a instanceof HTMLTextAreaElement && (document.activeElement !== a || !typing.has(a)) &&
      a.value !== a.defaultValue && a.id !== "text") a.value = a.defaultValue;
}

/** What tells a node from its siblings: its kind, and its key where it has one. */
const tell = (n: Node): string => (n instanceof Element ? `${n.nodeName} ${n.getAttribute("data-key") ?? ""}`
  : n.nodeName);

/**
 * The node of a that stands for each of b's from y on, where x and y do not
 * fit any more; those that stand for none are taken out.
 */
function pair(x: Node | null, y: Node | null): Map<Node, Node> {
  const left = new Map<string, Node[]>(), mine = new Map<Node, Node>(), wanted = new Set<Node>();
  for (let n = x; n; n = n.nextSibling) { const k = tell(n), l = left.get(k); if (l) l.push(n); else left.set(k, [n]); }
  for (let n = y; n; n = n.nextSibling) {
    const stays = stands(n) ?? left.get(tell(n))?.shift();
    if (stays && !wanted.has(stays)) { mine.set(n, stays); wanted.add(stays); }
  }
  while (x) { const next = x.nextSibling; if (!wanted.has(x)) x.parentNode?.removeChild(x); x = next; }
  return mine;
}

const stands = (y: Node): Element | undefined => (y instanceof Element && y.hasAttribute("data-same")
  ? standing.get(y.getAttribute("data-key") ?? "") : undefined);

/**
 * Elements keep their identity by kind and key, whatever comes before them or
 * goes; one that holds the focus is never moved, the others are.
 */
function children(a: Node, b: Node): void {
  let x = a.firstChild, y = b.firstChild, mine: Map<Node, Node> | null = null;
  while (y) {
    const next = y.nextSibling, stub = stands(y) !== undefined;
    if (!mine && !(stub ? stands(y) === x : x && same(x, y))) { mine = pair(x, y); x = firstOf(a, x, mine); }
    const old: Node | null | undefined = mine ? mine.get(y) : x;
    if (!old) { dressAll(y); a.insertBefore(y, x); y = next; continue; }
    if (old !== x) {
      // What stands before the one with the focus gives way to it.
      if (old.parentNode === a && old.contains(document.activeElement)) while (x && x !== old) {
        const n: ChildNode | null = x.nextSibling;
        a.removeChild(x);
        x = n;
      }
      else a.insertBefore(old, x);
    }
    if (old === x) x = x?.nextSibling ?? null;
    if (!stub) {
      if (old instanceof Element && y instanceof Element) sync(old, y); else if (old.nodeValue !== y.nodeValue)
        old.nodeValue = y.nodeValue;
    }
    y = next;
  }
  while (x) {
    const next: ChildNode | null = x.nextSibling;
    a.removeChild(x);
    x = next;
  }
}

/** Where the walk goes on in a when pairing took nodes out: x itself, or the first that stayed after it. */
const firstOf = (a: Node, x: ChildNode | null, mine: Map<Node, Node>): ChildNode | null => {
  if (!x || x.parentNode === a) return x;
  const stayed = new Set(mine.values());
  for (const n of a.childNodes) if (stayed.has(n)) return n;
  return null;
};

/** frame: the text with each kept element that is in no other one as its stub. */
interface Was { text: string; kept: Map<string, string>; frame: string }

const last = new WeakMap<Element, Was>();

/** A text with some of its kept elements as stubs. */
function stubbed(text: string, list: readonly Kept[], as: (k: Kept) => boolean): string {
  let out = "", at = 0;
  for (let n = 0; n < list.length; n++) {
    const k = list[n];
    if (!k || !as(k)) continue;
    const i = text.indexOf(k.text, at);
    out += text.slice(at, i) + k.stub;
    at = i + k.text.length;
    n += k.inner;
  }
  return out + text.slice(at);
}

/** What a text is as nodes; a drawing's elements are of its own kind. */
function parsed(text: string, svg: boolean): Node | null {
  template.innerHTML = svg ? `<svg xmlns="http://www.w3.org/2000/svg">${text}</svg>` : text;
  return svg ? template.content.firstElementChild : template.content;
}

function stand(within: Element): void {
  for (const e of within.querySelectorAll("[data-key]")) {
    const key = e.getAttribute("data-key") ?? "";
    if (!standing.has(key)) standing.set(key, e);
  }
}

/**
 * Puts the kept elements that say something else, where nothing round them does; false where one of
 * them is not there.
 */
function putKept(target: Element, markup: Markup, was: Was, svg: boolean): boolean {
  const news: { k: Kept; e: Element; text: string }[] = [], list = markup.kept;
  for (let n = 0; n < list.length; n++) {
    const k = list[n];
    if (!k) continue;
    if (was.kept.get(k.key) !== k.text) {
      const e = target.querySelector(`[data-key="${CSS.escape(k.key)}"]`);
      if (!e) return false;
      if (k.inner) stand(e);
      news.push({ k, e, text: stubbed(k.text, list.slice(n + 1, n + 1 + k.inner),
        (x) => was.kept.get(x.key) === x.text && standing.has(x.key)) });
    }
    n += k.inner;
  }
  const from = parsed(news.map((x) => x.text).join(""), svg);
  if (from?.childNodes.length !== news.length) return false;
  [...from.childNodes].forEach((y, i) => { const x = news[i]; if (x && y instanceof Element) sync(x.e, y); });
  return true;
}

/**
 * What is put is what there is, but for what the person typed: fields are looked
 * at again unless it is quiet, that is while a hand drags.
 */
export function put(target: Element, markup: Markup, quiet = false): void {
  const was = last.get(target), looks = (fields: boolean) => fields && !quiet, all = looks(hasFields(markup.text));
  if (was?.text === markup.text && !all) return;
  const svg = target instanceof SVGElement, here = document.activeElement,
    frame = stubbed(markup.text, markup.kept, () => true);
  standing.clear();
  if (!was || all || was.frame !== frame || !putKept(target, markup, was, svg)) {
    if (was && markup.kept.length) stand(target);
    const from = parsed(stubbed(markup.text, markup.kept,
      (k) => was?.kept.get(k.key) === k.text && !looks(k.fields) && standing.has(k.key)), svg);
    if (from) children(target, from);
  }
  last.set(target, { text: markup.text, kept: new Map(markup.kept.map((k) => [k.key, k.text])), frame });
  standing.clear();
  if (here instanceof HTMLElement && !here.isConnected) again(target, here);
}

/** A field that was drawn anew under its key keeps the focus, what is typed in it, and what is selected. */
function again(target: Element, was: HTMLElement): void {
  const key = was.getAttribute("data-key"),
    e = key ? target.querySelector<HTMLElement>(`[data-key="${CSS.escape(key)}"]`) : null;
  if (!e) return;
  e.focus({ preventScroll: true });
  const text = (x: HTMLElement): x is HTMLInputElement | HTMLTextAreaElement => x instanceof HTMLTextAreaElement ||
    (x instanceof HTMLInputElement && x.type !== "checkbox" && x.type !== "range");
  if (!text(was) || !text(e)) return;
  if (typing.has(was)) { e.value = was.value; typing.add(e); }
  e.setSelectionRange(was.selectionStart, was.selectionEnd);
}
