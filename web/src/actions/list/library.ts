// Actions of the library.
import type { Page } from "../../state/store.ts";
import type { Action } from "../action.ts";

const here = (p: Page): boolean => p.pane === "library";
const open = (p: Page): boolean => here(p) && (p.relit !== null || p.compared !== null || p.libMarks.length > 0);

export const libraryActions: readonly Action[] = [
  { name: "libfind", group: "library", words: "find setups by words and bounds", when: here, told: true,
    do: (d, x) => d.library.asked(x.text) },
  { name: "libfolder", group: "library", words: "the folder that is looked through", when: here, told: true,
    do: (d, x) => d.library.folder(x.text) },
  { name: "libfacets", group: "form", words: "show what setups can be narrowed by, or not", do: (d) =>
    d.store.set({ libFacets: !d.store.page.libFacets }) },
  { name: "libpick", group: "form", words: "only setups of this kind, or all again", do: (d, x) =>
    d.library.pick(x.arg) },
  { name: "liblike", group: "form", words: "what looks like this setup, nearest first", do: (d, x) =>
    d.library.like({ file: x.path, setup: x.arg }) },
  { name: "liball", group: "library", words: "back from what looks alike to what was asked", when: (p) => here(p) &&
    p.libLike !== null, do: (d) => d.library.like(null) },
  { name: "libmark", group: "form", words: "hold this setup against another", do: (d, x) =>
    d.library.mark({ file: x.path, setup: x.arg }) },
  { name: "libdesk", group: "library", words: "hold the setup on the desk against another", when: here,
    can: (p) => (p.view ? "" : "There is no setup on the desk."), do: (d) => d.library.mark({ file: "",
      setup: d.store.page.view?.name ?? "" }) },
  { name: "libwhy", group: "form", words: "which change made it so", do: (d, x) => void d.library.compare(x.arg) },
  { name: "librelight", group: "form", words: "light this record again in the room of this shoot", do: (d, x) =>
    void d.library.relight(x.path) },
  { name: "libtake", group: "library", words: "take the setup that was lit again into the shoot",
    undo: "light … again", when: here, can: (p) => (!p.relit ? "Nothing was lit again." :
      p.relit.revision !== p.state?.good_revision ? "The shoot has changed since: light it again first." : ""),
    do: (d) => d.library.take() },
  { name: "libstop", group: "library", words: "stop what the library works on", when: (p) => here(p) &&
    p.libBusy !== "", do: (d) => d.library.stop() },
  { name: "libclose", group: "library", words: "close what was compared or lit again", when: open, do: (d) =>
    d.library.close() },
];
