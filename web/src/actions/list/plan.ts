// Actions on the plan and the section.
import type { Action } from "../action.ts";
import * as place from "../place.ts";

const off = (p: { contours: string }, to: string): string => (p.contours === to ? "on" : "");

export const planActions: readonly Action[] = [
  {
    name: "contours", group: "plan", words: "contours: f-numbers, each light, off", keys: [{ key: "a" }],
    do: (d, x) => place.cycleContours(d, (x.arg || undefined) as "off" | undefined),
    each: (p) => [
      { words: "contours of what a meter would read", says: { arg: off(p, "meter") ? "off" : "meter" } },
      { words: "contours of each light by itself", says: { arg: off(p, "lights") ? "off" : "lights" } },
      { words: "no contours", says: { arg: "off" } },
    ],
  },
  { name: "contour-z", group: "form", words: "height of the contours", do: (d, x) => {
    place.contoursAt(d, x.text);
    d.store.set({});
  } },
  {
    name: "snap", group: "plan", words: "snapping in the plan off or on (Alt turns it off while you drag)",
      keys: [{ key: "m" }],
    do: (d) => d.store.set({ snap: !d.store.page.snap }),
  },
  {
    name: "zoom", group: "plan", words: "plan nearer or farther", told: true,
    keys: [{ key: "+", says: { by: 1 } }, { key: "=", says: { by: 1 } }, { key: "-", says: { by: -1 } }],
    do: (d, x) => d.zoomPlan(x.by < 0 ? 0.8 : 1.25),
  },
  { name: "fit", group: "plan", words: "all of the plan", keys: [{ key: "Home" }], do: (d) => place.fit(d) },
  { name: "typed", group: "form", words: "where a thing stands, typed", undo: "move …", do: (d, x) => {
    place.typed(d, x.arg, x.text);
    d.store.set({});
  } },
  { name: "turn", group: "form", words: "turn of the sitter’s head, typed", undo: "turn sitter's head",
    do: (d, x) => { place.turnSitter(d, x.text); d.store.set({}); } },
  { name: "unthing", group: "plan", words: "let go of what is selected in the plan", when: (p) => p.thing !== null,
    do: (d) => d.store.set({ thing: null, light: "" }) },
];
