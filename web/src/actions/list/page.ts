// Actions of the page itself: grounds, screens, undo, the list of actions, what is shut and let go.
import { asSaid, type Action } from "../action.ts";
import { whichStands, type Pane, type Part } from "../../state/store.ts";
import type { Desk } from "../desk.ts";

const screens: readonly (readonly [Pane, string, string, string])[] = [
  ["day", "Day", "the day: who does what when, late, kit list, papers", "Shift+D"],
  ["library", "Library", "the library: find shoots and records, compare them, light one again here", "Shift+B"],
  ["scout", "Scout", "the place: photographs as measurements, the room walked round, what is assumed", "Shift+O"],
  ["kit", "Kit", "the kit: own things and generic ones, makers’ figures, files, learning", "Shift+K"],
  ["setups", "Setups", "setups as small pictures: duplicate, rename, put in order, delete, lay beside", "Shift+S"],
  ["edit", "Edit", "edit everything of the shoot: room, kit, lights, hours", "y"],
  ["text", "Text", "the shoot file as text", "t"],
  ["ways", "Ways out", "ways out of what is missed, those of the selected point first", "w"],
  ["checks", "Checks", "checks: what stands wrong, overhead, in the frame, over a circuit", "c"],
];

/** Shows a screen, or the desk again where it is shown already. */
function toggle(d: Desk, pane: Pane): void {
  d.pane(d.store.page.pane === pane ? "desk" : pane);
  if (pane === "ways" && d.store.page.pane === "ways") d.focus("ways");
}

/** Whether anything is open that Escape shuts before it lets the selection go. */
function shut(d: Desk): boolean {
  const p = d.store.page;
  if (p.help) { d.store.set({ help: false, seek: "" }); return true; }
  if (p.placing || p.sketch) { d.store.set({ placing: "", sketch: null }); return true; }
  if (p.picking) { d.store.set({ picking: null }); return true; }
  if (p.opening || p.naming >= 0 || p.deleting >= 0) {
    d.store.set({ opening: "", naming: -1, deleting: -1 });
    return true;
  }
  return false;
}

export const pageActions: readonly Action[] = [
  {
    name: "undo", group: "page", words: "undo the last change (a drag is one step)", keys: [{ key: "Ctrl+Z" }],
      turn: asSaid,
    can: (p) => whichStands(p) || (p.state?.undo || p.textDirty || p.waiting > 0 || p.turns > 0 ? ""
      : "There is nothing to undo."),
      do: (d) => d.step("undo"),
  },
  {
    name: "redo", group: "page", words: "redo what was undone", keys: [{ key: "Ctrl+Shift+Z" }, { key: "Ctrl+Y" }],
      turn: asSaid,
    can: (p) => whichStands(p) || (p.state?.redo || p.turns > 0 ? "" : "There is nothing to redo."),
      do: (d) => d.step("redo"),
  },
  {
    name: "help", group: "page", words: "all actions with their keys, to be searched",
      keys: [{ key: "?" }, { key: "Ctrl+K", field: true }, { key: "/" }],
    do: (d) => { const open = !d.store.page.help; d.store.set({ help: open, seek: "", opening: open ? "seek" : "" }); },
  },
  {
    name: "gofield", group: "form", words: "go to the field or the button of an action",
    do: (d, x) => { d.pane(x.path as Pane); d.field(x.arg); },
  },
  { name: "seek", group: "form", words: "look for an action", live: true, do: (d, x) => d.store.set({ seek: x.text }) },
  {
    name: "theme", group: "page", words: "booth or paper: dark ground or light", keys: [{ key: "d" }],
    do: (d, x) => d.theme((x.arg || (d.store.page.theme === "booth" ? "paper" : "booth")) as "booth"),
  },
  {
    name: "neutral", group: "page", words: "judge: everything but the picture mid-grey", keys: [{ key: "b" }],
    do: (d) => d.store.set({ neutral: !d.store.page.neutral }),
  },
  {
    name: "pane", group: "screens", words: "another screen", told: true, do: (d, x) => d.pane(x.arg as Pane),
    each: (p) => (p.pane === "desk" ? [] : [{ words: "the desk", says: { arg: "desk" } }]),
  },
  ...screens.map(([pane, , words, key]): Action => ({
    name: `pane-${pane}`, group: "screens", words, keys: [{ key }], do: (d) => toggle(d, pane),
  })),
  { name: "panesel", group: "form", words: "screen shown", do: (d, x) => d.pane(x.text as Pane) },
  { name: "phone", group: "form", words: "part of the desk on a phone",
    do: (d, x) => d.store.set({ phone: x.arg as Part, pane: "desk" }) },
  { name: "toast", group: "form", words: "close the message", do: (d) => d.store.set({ toast: "" }) },
  {
    name: "mistake", group: "file", words: "go to the first mistake of the text, then to the next",
      keys: [{ key: "Shift+E" }],
    can: (p) => (p.state?.messages.some((x) => x.severity === "error") ? "" : "The text has no mistake."),
      do: (d) => d.nextMistake(),
  },
  {
    name: "floor", group: "day",
    words: "the floor: share with phones, test frames, networked heads (in a tab of its own)",
    do: () => { window.open("/floor/#more", "halfstop-floor"); },
  },
  {
    name: "escape", group: "page", words: "close what is open, let go of what is selected",
      keys: [{ key: "Escape", field: true }],
    do: (d) => {
      if (shut(d)) return;
      const p = d.store.page, trying = p.tryout !== null;
      d.store.set({
        neutral: false, compare: null, tryout: null, tool: "", cursor: null, spot: null, toast: "", assumes: false,
          drag: null, solo: "",
        thing: trying ? p.thing : null, light: trying ? p.light : "",
          ...(p.frame === "light" ? { frame: "picture" as const } : {}),
      });
      const t = document.activeElement;
      if (t instanceof HTMLElement && t.matches("input,select,textarea")) t.blur();
    },
  },
];

export const screenNames: readonly (readonly [Pane, string])[] = [["desk", "Desk"],
  ...screens.map(([k, w]): [Pane, string] => [k, w])];
