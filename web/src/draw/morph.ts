// Puts markup into a part of the page by changing only what differs: focus, scrolling and drags survive.
import { hasFields, type Markup } from "../units/markup.ts";

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
  a.nodeType === b.nodeType && a.nodeName === b.nodeName && (!(a instanceof Element) || !(b instanceof Element) || a.getAttribute("data-key") === b.getAttribute("data-key"));

/** Sets an attribute where it is another: the browser lays a drawing out anew even for the same viewBox. */
export function attribute(e: Element, name: string, value: string): void {
  if (e.getAttribute(name) !== value) e.setAttribute(name, value);
}

/** Elements of the target that stand for stubs, by key. */
const standing = new Map<string, Element>();

function sync(a: Element, b: Element): void {
  const own = a.getAttribute("data-own");
  for (const { name } of [...a.attributes]) if (!b.hasAttribute(name) && name !== "style") a.removeAttribute(name);
  let restyle = false;
  for (const { name, value } of [...b.attributes]) {
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
  if (a instanceof HTMLTextAreaElement && (document.activeElement !== a || !typing.has(a)) && a.value !== a.defaultValue && a.id !== "text") a.value = a.defaultValue;
}

function children(a: Node, b: Node): void {
  let x = a.firstChild;
  let y = b.firstChild;
  while (y) {
    const next = y.nextSibling;
    const stays = y instanceof Element && y.hasAttribute("data-same") ? standing.get(y.getAttribute("data-key") ?? "") : undefined;
    if (stays) {
      if (x === stays) x = x.nextSibling;
      else a.insertBefore(stays, x);
    } else if (x && same(x, y)) {
      if (x instanceof Element && y instanceof Element) sync(x, y);
      else if (x.nodeValue !== y.nodeValue) x.nodeValue = y.nodeValue;
      x = x.nextSibling;
    } else if (x) {
      const old = x;
      x = x.nextSibling;
      dressAll(y);
      a.replaceChild(y, old);
    } else {
      dressAll(y);
      a.appendChild(y);
    }
    y = next;
  }
  while (x) {
    const next = x.nextSibling;
    a.removeChild(x);
    x = next;
  }
}

interface Was { text: string; kept: Map<string, string> }

const last = new WeakMap<Element, Was>();

/** What is put is what there is, but for what the person typed: fields are looked at again unless it is quiet, that is while a hand drags. */
export function put(target: Element, markup: Markup, quiet = false): void {
  const was = last.get(target), looks = (fields: boolean) => fields && !quiet;
  if (was?.text === markup.text && !looks(hasFields(markup.text))) return;
  const svg = target instanceof SVGElement;
  standing.clear();
  if (was && markup.kept.length) for (const e of target.querySelectorAll("[data-key]")) { const key = e.getAttribute("data-key") ?? ""; if (!standing.has(key)) standing.set(key, e); }
  let text = "", at = 0;
  for (let n = 0; n < markup.kept.length; n++) {
    const k = markup.kept[n];
    if (!k || was?.kept.get(k.key) !== k.text || looks(k.fields) || !standing.has(k.key)) continue;
    const i = markup.text.indexOf(k.text, at);
    text += markup.text.slice(at, i) + k.stub;
    at = i + k.text.length;
    n += k.inner;
  }
  text += markup.text.slice(at);
  last.set(target, { text: markup.text, kept: new Map(markup.kept.map((k) => [k.key, k.text])) });
  template.innerHTML = svg ? `<svg xmlns="http://www.w3.org/2000/svg">${text}</svg>` : text;
  const from = svg ? template.content.firstElementChild : template.content;
  if (from) children(target, from);
  standing.clear();
}
