// Actions of the forms: one for each kind of field and button on the edit screen and the colour chart.
import { find } from "../../model/tree.ts";
import { readLength } from "../../units/measures.ts";
import type { Action } from "../action.ts";
import * as placing from "../placing.ts";

const number = (text: string): number => Number.parseFloat(text.replace(/\u2212/g, "-").replace(",", "."));
const typedIn = (act: string): string => document.querySelector<HTMLInputElement>(`[data-act=${act}]`)?.value ?? "";

/** As the program has it: farther from white a colour temperature has no meaning. */
const mostDuv = 0.05;

/** A white as it is typed, or why it is none. */
export function whiteOf(temperature: string, green: string): { kelvin: number; duv: number } | string {
  const bare = temperature.trim().replace(/\s*K$/i, ""), kelvin = /^[\d\s.,]+$/.test(bare) ? number(bare) : NaN,
    duv = green.trim() ? number(green) : 0;
  if (!(kelvin >= 1000 && kelvin <= 100000)) {
    return `“${temperature.trim()}” is no colour temperature; write 1000 K to 100000 K, like 5600 K.`;
  }
  return Math.abs(duv) <= mostDuv ? { kelvin, duv }
    : `“${green.trim()}” is no distance from white; write −${mostDuv} (magenta) to +${mostDuv} (green).`;
}
const bare = (v: string): string => (/^[\w -]+$/.test(v) ? v : JSON.stringify(v));

export const formActions: readonly Action[] = [
  {
    name: "placing", group: "form", words: "put walls, an opening or a thing into the plan of the place",
    do: (d, x) => placing.begin(d, x.text || x.arg),
  },
  { name: "typedwall", group: "form", words: "length of the next wall, typed; nothing typed closes the room",
    do: (d, x) => placing.typedWall(d, x.text.trim() ? readLength(x.text, d.store.page.units) ?? Number.NaN : null) },
  { name: "backwall", group: "form", words: "take the last corner back", do: (d) => placing.back(d) },
  { name: "closewalls", group: "form", words: "close the walls that are drawn", undo: "draw the walls",
    do: (d) => placing.close(d) },
  { name: "painting", group: "form", words: "part of the room whose surface is chosen",
    do: (d, x) => d.store.set({ painting: x.text }) },
  { name: "paint", group: "form", words: "give a part of the room a surface", undo: "…: …",
    do: (d, x) => placing.paint(d, d.store.page.painting, x.arg) },
  { name: "edgo", group: "form", words: "show a part of the file", do: (d, x) => {
    d.forms.go(x.path);
    document.getElementById("edform")?.scrollTo(0, 0);
  } },
  { name: "edopen", group: "form", words: "open settings that the file does not have",
    do: (d, x) => d.forms.open(x.path) },
  { name: "edadd", group: "form", words: "add an entry", undo: "add …",
    do: (d, x) => d.forms.add(x.path, x.arg, x.text) },
  { name: "edremove", group: "form", words: "remove an entry", undo: "remove …", do: (d, x) => d.forms.remove(x.path) },
  { name: "edrename", group: "form", words: "spell a setting as proposed", undo: "spell …",
    do: (d, x) => d.forms.rename(x.path, x.arg) },
  { name: "edcopy", group: "form", words: "copy an entry", undo: "copy …", do: (d, x) => d.forms.copy(x.path) },
  { name: "edbeside", group: "form", words: "plan or text beside the form",
    do: (d, x) => d.forms.beside(x.arg as "plan") },
  { name: "edpart", group: "form", words: "the form", do: (d, x) => d.store.set({ edit: x.arg as "form" }) },
  { name: "edlengths", group: "form", words: "metres or feet",
    do: (d, x) => d.forms.units({ lengths: x.arg === "feet" ? "feet" : "metres" }) },
  { name: "edclock", group: "form", words: "24 or 12 hours",
    do: (d, x) => d.forms.units({ clock: x.arg === "12" ? 12 : 24 }) },
  { name: "field", group: "form", words: "a setting", undo: "set …", do: (d, x) => d.forms.set(x.path, x.text) },
  {
    name: "fieldraw", group: "form", words: "a setting in brackets", undo: "set …",
    do: (d, x) => d.forms.send(`set ${d.forms.called(x.path)}`, x.text.trim()
      ? [{ set: x.path, value: x.text.trim() }] : [{ delete: x.path }]),
  },
  {
    name: "fieldpart", group: "form", words: "one number of several", undo: "set …",
    do: (d, x) => d.forms.setPart(x.path, x.n, x.text, JSON.parse(x.arg || "[]") as string[]),
  },
  { name: "flag", group: "form", words: "yes or no", undo: "set …",
    do: (d, x) => d.forms.flag(x.path, x.text === "on") },
  { name: "edaddword", group: "form", words: "add a word to a list", undo: "add …", do: (d, x) => {
    if (x.text) d.forms.add(x.path, x.text, x.text);
    d.store.set({});
  } },
  { name: "edaddkey", group: "form", words: "add a surface of its own", undo: "add …", do: (d, x) => {
    d.forms.addKey(x.path, x.text, "0.5");
    d.store.set({});
  } },
  {
    name: "edaddkit", group: "form", words: "add a thing of the catalogue", undo: "add …",
    do: (d, x) => { if (x.text) d.forms.add(x.path, `{name: ${bare(x.text)}, have: 1}`, x.text); d.store.set({}); },
  },
  { name: "wall", group: "form", words: "length of a wall, typed", undo: "length of wall …",
    do: (d, x) => d.forms.wall(x.n, x.text) },
  { name: "unpick", group: "form", words: "close the chart of colours", do: (d) => d.store.set({ picking: null }) },
  {
    name: "picktake", group: "form", words: "take a colour, or the head’s own", undo: "colour of …",
    do: (d, x) => {
      const k = d.store.page.picking;
      if (x.arg) d.forms.take(x.arg);
      else if (k) d.forms.send(`own colour of ${k.what}`, find(d.forms.root, k.path) ? [{ delete: k.path }] : []);
    },
  },
  ...(["pickk", "pickduv"] as const).map((name): Action => ({
    name, group: "form", words: "colour of a light as a temperature, typed", undo: "colour of …",
    do: (d) => {
      const white = whiteOf(typedIn("pickk"), typedIn("pickduv"));
      if (typeof white === "string") d.store.set({ toast: white });
      else void d.forms.colour(white, true, "");
    },
  })),
];
