// Puts markup into a part of the page by changing only what differs: focus, scrolling and drags survive.
import type { Markup } from "../units/markup.ts";

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

function sync(a: Element, b: Element): void {
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
    else if (document.activeElement !== a || a.type === "range") if (a.value !== b.value) a.value = b.value;
    return;
  }
  children(a, b);
  // A field that was used no longer follows its markup by itself.
  if (a instanceof HTMLSelectElement) {
    const on = [...a.options].find((o) => o.hasAttribute("selected"))?.value ?? a.options[0]?.value ?? "";
    if (a.value !== on) a.value = on;
  }
  if (a instanceof HTMLTextAreaElement && document.activeElement !== a && a.value !== a.defaultValue) a.value = a.defaultValue;
}

function children(a: Node, b: Node): void {
  let x = a.firstChild;
  let y = b.firstChild;
  while (y) {
    const next = y.nextSibling;
    if (x && same(x, y)) {
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

const last = new WeakMap<Element, string>();

export function put(target: Element, markup: Markup): void {
  // Nothing to do where nothing changed; fields may hold what a person typed meanwhile, so they are looked at again.
  if (last.get(target) === markup.text && !/<(input|select|textarea)/.test(markup.text)) return;
  last.set(target, markup.text);
  const svg = target instanceof SVGElement;
  template.innerHTML = svg ? `<svg xmlns="http://www.w3.org/2000/svg">${markup.text}</svg>` : markup.text;
  const from = svg ? template.content.firstElementChild : template.content;
  if (from) children(target, from);
}
