// Actions on the shoot file: its text, its place on disk, what another program or another page did to it.
import type { Action } from "../action.ts";
import * as placing from "../placing.ts";

export const fileActions: readonly Action[] = [
  {
    name: "goto", group: "form", words: "go to a line of the text",
      do: (d, x) => d.goTo(x.n, Number(x.arg) || 1, Number(x.text) || 1),
  },
  {
    name: "ownroom", group: "file", words: "draw the room: walls, windows, doors, things, surfaces",
    do: (d) => {
      d.forms.go("room");
      d.forms.beside("plan");
      d.store.set({ edit: "beside" });
      void placing.fetchPlace(d);
    },
  },
  {
    name: "saveas", group: "file", words: "save under another name",
    do: (d) => { d.forms.go("shoot"); d.open("savename"); },
  },
  {
    name: "edsave", group: "form", words: "save under this name",
    do: (d) => void d.forms.saveAs(document.querySelector<HTMLInputElement>("[data-key=savename]")?.value.trim() ?? ""),
  },
  {
    name: "both", group: "file", words: "the file on disk differs: see both texts", when: (p) => p.disk !== null,
    do: (d) => { d.store.set({ both: !d.store.page.both }); void d.live.fetchText(); },
  },
  {
    name: "disk", group: "file", words: "take the file on disk, or keep what is here", told: true,
      when: (p) => p.disk !== null,
    do: (d, x) => { d.store.set({ both: false }); void d.disk(x.arg === "theirs" ? "theirs" : "ours"); },
    each: () => [{ words: "take the file as it is on disk", says: { arg: "theirs" } },
      { words: "keep what is here over the file on disk", says: { arg: "ours" } }],
  },
  {
    name: "writeback", group: "file", words: "write the file back where it is gone",
      when: (p) => p.state?.keeping.reason === "gone",
    do: (d) => void d.disk("ours"),
  },
  { name: "clash", group: "form", words: "which of two typings stands",
    do: (d, x) => void d.typing.settle(x.arg === "mine") },
];
