// Actions of the Kit screen.
import type { Page } from "../../state/store.ts";
import type { GearPart } from "../../state/gear.ts";
import type { Action } from "../action.ts";

const here = (p: Page): boolean => p.pane === "kit";
const chosen = (p: Page): string => (p.gearPick ? "" : "No thing of the kit is chosen.");
const own = (p: Page): string => (p.gearThing?.item.own ? "" : "Only own things can be taken out.");
const sheet = (p: Page): string => (p.gearThing?.sheet ? "" : "No head is chosen.");
const tabs: readonly (readonly [GearPart["gearTab"], string])[] = [["things", "the things of the kit"],
  ["files", "files of makers and meters"], ["learned", "what readings taught"]];

export const kitActions: readonly Action[] = [
  { name: "kitfind", group: "kit", words: "find things of the kit by words and figures", when: here, told: true,
    do: (d, x) => d.gear.search(x.text) },
  { name: "kitall", group: "kit", words: "all things of the kit again", when: (p) => here(p) && p.gearQuery !== "",
    do: (d) => d.gear.search("") },
  { name: "kittab", group: "kit", words: "a part of the Kit screen", when: here, do: (d, x) =>
    d.gear.tab(x.arg as GearPart["gearTab"]), each: () => tabs.map(([arg, words]) => ({ words, says: { arg } })) },
  { name: "kitpick", group: "form", words: "choose this thing of the kit", do: (d, x) =>
    d.gear.pick({ list: x.path, name: x.arg }) },
  { name: "kitshut", group: "kit", words: "let go of the chosen thing of the kit", when: (p) => here(p) &&
    p.gearPick !== null, do: (d) => d.gear.pick(null) },
  { name: "kitlike", group: "form", words: "the name of a thing like the chosen one, as it is typed", live: true,
    do: (d, x) => d.store.set({ likeName: x.text }) },
  { name: "kitadd", group: "kit", words: "add a thing like the chosen one, under the name that is typed", when: here,
    can: chosen, undo: "add …", do: (d, x) => void d.gear.addLike(x.text || d.store.page.likeName) },
  { name: "kitset", group: "form", words: "change a setting of the chosen thing", undo: "… of …", do: (d, x) =>
    d.gear.setting(x.path, x.text) },
  { name: "kitremove", group: "kit", words: "take the chosen thing out of the own kit", when: here, can: (p) =>
    chosen(p) || own(p), undo: "take out …", do: (d) => d.gear.remove() },
  { name: "kitsheet", group: "form", words: "a figure of the maker’s sheet, as it is typed", live: true, do: (d, x) =>
    d.gear.draft(x.path, x.text) },
  { name: "kitsheetgo", group: "kit", words: "use the figures of the maker’s sheet", when: here, can: sheet,
    undo: "… of …", do: (d) => void d.gear.sheet() },
  { name: "kitsheetoff", group: "kit", words: "take the figures of the maker’s sheet out", when: here, can: sheet,
    undo: "… of …", do: (d) => void d.gear.noSheet() },
  { name: "kitfiles", group: "kit", words: "read files of makers and meters: choose them, or drop them on the screen",
    when: here, told: true, do: (d) => {
      const f = document.querySelector<HTMLInputElement>("#kitfiles"), list = [...(f?.files ?? [])];
      if (f) f.value = "";
      void d.gear.read(list);
    } },
  { name: "kitas", group: "form", words: "what the entry of this file is called", do: (d, x) =>
    d.gear.readAs(x.n, { as: x.text }) },
  { name: "kithead", group: "form", words: "what this spectrum is of", do: (d, x) =>
    d.gear.readAs(x.n, x.text.startsWith("of ") ? { of: x.text.slice(3), head: "" } : { of: "", head: x.text }) },
  { name: "kitmode", group: "form", words: "the mode of a fixture whose channels are taken", do: (d, x) =>
    d.gear.readAs(x.n, { mode: x.text }) },
  { name: "kitlamps", group: "form", words: "the set of lamps of a luminaire that is fitted", do: (d, x) =>
    d.gear.readAs(x.n, { lamp_set: x.text }) },
  { name: "kitdrop", group: "form", words: "leave this file out", do: (d, x) => d.gear.drop(x.n) },
  { name: "kittake", group: "kit", words: "take the files that were read into the own kit", when: here, can: (p) =>
    (p.imports.length ? "" : "No file was read."), undo: "import …", do: (d) => void d.gear.takeFiles() },
  { name: "readpoint", group: "form", words: "the point that the reading is of", do: (d, x) =>
    d.store.set({ readPoint: x.text }) },
  { name: "readalone", group: "form", words: "the only light that was on, or all", do: (d, x) =>
    d.store.set({ readAlone: x.text }) },
  { name: "readlog", group: "form", words: "a reading, as it is typed", live: true, do: (d, x) =>
    d.store.set({ readText: x.text }) },
  { name: "readgo", group: "kit", words: "log the reading that is typed, as the meter says it", when: here,
    do: (d, x) => void d.gear.reading(x.text || d.store.page.readText) },
  { name: "readback", group: "form", words: "take this reading back, or put it in force again", do: (d, x) =>
    d.gear.back(x.n, x.arg === "again") },
  { name: "learnkeep", group: "kit", words: "keep what readings taught in the own kit", when: here, can: (p) =>
    (p.lessons?.unkept ? "" : "There is nothing new to keep."),
    undo: "keep what readings taught", do: (d) => void d.gear.keep() },
  { name: "learnforget", group: "form", words: "forget what was learned of this", undo: "forget …", do: (d, x) =>
    d.gear.forget(x.arg) },
  { name: "learnstop", group: "kit", words: "stop learning", when: (p) => here(p) && p.gearBusy === "learn",
    do: (d) => d.gear.stop() },
  { name: "learnagain", group: "kit", words: "learn from the readings once more", when: (p) => here(p) &&
    p.gearTab === "learned", do: (d) => d.gear.again() },
];
