// Actions on lights: selected, set, switched, locked, seen alone, given other parts, added, taken away.
import { wholeName } from "../../model/names.ts";
import type { Page } from "../../state/store.ts";
import { asSaid, type Action, type Press } from "../action.ts";
import type { Desk } from "../desk.ts";
import { settingTyped } from "../edits.ts";
import * as tryout from "../tryout.ts";

const of = (p: Page, x: Press): string => x.path || p.light;
const mine = (p: Page, x: Press): Press => ({ ...x, path: of(p, x) });
const chosen = (p: Page, x: Press): string => (
  of(p, x) ? "" : "No light is selected: K, F, E and G select one, or press its name.");
const own = (p: Page, x: Press): string => {
  const l = p.view?.lights.find((q) => q.path === of(p, x));
  return chosen(p, x) || (l?.house ? `${wholeName(l)} belongs to the house: it can be switched, and nothing else.`
    : "");
};
const each = (words: (name: string) => string) => (p: Page) =>
  (p.view?.lights ?? []).map((l) => ({ words: words(wholeName(l)), says: { path: l.path } }));
const role = (key: string, words: string, ...roles: string[]): Action => ({
  name: `role-${roles[0]}`, group: "lights", words: `select the ${words}`, keys: [{ key }],
  can: (p) => (p.view?.lights.some((l) => roles.includes(l.role)) ? "" : `This setup has no ${words}.`),
    do: (d) => d.selectRole(...roles),
});

/** Role or setting of a light, as typed. */
function ownField(d: Desk, x: Press): void {
  const l = d.light(x.path), text = x.text.trim();
  if (!l) return;
  if (x.arg === "role") {
    if (text && text !== l.role) d.editor.edit(`role of ${l.name}`, [{ set: `${l.path}.role`, value: text }]);
  } else {
    const list = settingTyped(l, text), lo = l.dial[l.dial.length - 1]?.text ?? "", hi = l.dial[0]?.text ?? "";
    if (list) d.editor.edit(`set ${l.name} ${list[0]?.value ?? ""}`, list);
    else
      d.store.set({ toast: `“${text}” is no setting of this head; write it like ${l.flash ? "1/8 + 0.3"
        : "60 %"}, from ${lo} to ${hi}.` });
  }
  d.store.set({});
}

export const lightActions: readonly Action[] = [
  {
    name: "house", group: "lights", words: "lights of the house: one by one, or as one row",
    can: (p) => (p.view?.lights.some((l) => l.house) ? "" : "This place has no lights of its own."),
    do: (d) => d.store.set({ house: !d.store.page.house }),
  },
  { name: "light", group: "lights", words: "select a light", told: true, do: (d, x) => d.selectLight(x.path),
    each: each((n) => `select ${n}`) },
  role("k", "key", "key"), role("f", "fill", "fill"), role("e", "edge, hair or accent light", "edge", "rim",
    "hair", "accent"),
  role("g", "background light", "background"),
  {
    name: "nudge", group: "lights", words: "selected light a tenth up or down (Shift: a stop)", undo: "set … …",
      told: true, can: own, turn: mine,
    do: (d, x) => d.nudge(of(d.store.page, x), x.by * (x.far ? 1 : 0.1)),
  },
  {
    name: "fader", group: "form", words: "set a light", live: true, undo: "set … …",
    do: (d, x) => d.setting(x.path, Number(x.text), d.holding("fader")),
  },
  { name: "own", group: "form", words: "role or setting of a light, typed", undo: "set … …", do: ownField },
  {
    name: "off", group: "lights", words: "selected light off or on", undo: "switch … …", keys: [{ key: "o" }],
      can: chosen, turn: mine,
    do: (d, x) => d.off(of(d.store.page, x)),
  },
  {
    name: "lock", group: "lights", words: "lock or unlock the selected light: balance leaves a locked one alone",
      undo: "lock …",
    keys: [{ key: "l" }], can: own, turn: mine, do: (d, x) => d.lock(of(d.store.page, x)),
  },
  {
    name: "solo", group: "lights", words: "selected light alone, in picture and ladder", keys: [{ key: "i" }],
      can: chosen,
    do: (d, x) => d.solo(of(d.store.page, x)), each: each((n) => `${n} alone`),
  },
  { name: "unsolo", group: "lights", words: "all lights again",
    do: (d) => d.store.set({ solo: "", ...(d.store.page.frame === "light" ? { frame: "picture" } : {}) }) },
  {
    name: "add", group: "lights", words: "add a light", undo: "add light", turn: asSaid,
      can: (p) => (p.view && p.kit ? "" : "The kit is not there yet."),
    do: (d) => d.addLight(),
  },
  {
    name: "remove", group: "lights", words: "take the selected light out of the setup", undo: "remove …", can: own,
    do: (d, x) => d.remove(of(d.store.page, x)),
  },
  { name: "part", group: "form", words: "try another part in a light",
    do: (d, x) => tryout.tryPart(d, x.path, x.arg, x.text) },
  {
    name: "trytake", group: "lights", words: "take the part that is tried", undo: "… of …: …",
      keys: [{ key: "Enter", notOn: "button,input,select,[role=button]" }],
    when: (p) => p.tryout !== null, do: (d) => tryout.take(d),
  },
  { name: "tryleave", group: "form", words: "leave the part that is tried", do: (d) => tryout.leave(d) },
  {
    name: "pick", group: "lights", words: "colour of the selected light, on the chart", can: own,
    do: (d, x) => d.pickColour(x.path || `${d.store.page.light}.colour`),
  },
];
