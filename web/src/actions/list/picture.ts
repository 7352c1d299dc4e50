// Actions on the picture: its views, what lies beside it, spots, crop and cover.
import { wholeName } from "../../model/names.ts";
import type { Page } from "../../state/store.ts";
import type { Action } from "../action.ts";
import * as picture from "../picture.ts";

const noPicture = (p: Page): string => (
  p.view && !p.view.camera ? "This setup has no camera, so there is no picture." : "");
const lit = (p: Page) => (p.view?.lights ?? []).filter((l) => l.layer >= 0);
const noSpot = (p: Page): string => (
  p.spot?.at ? "" : "No spot of the picture is read: click into it, or press Q and Enter.");

export const pictureActions: readonly Action[] = [
  {
    name: "live picture", group: "picture",
    words: "live picture: this device's graphics processor traces what a hand drags (on or off)",
    do: (d) => {
      const off = !d.store.page.liveOff, why = d.store.page.liveWhy;
      const on = why ? `The live picture is on, but ${why}.` : "The live picture is on.";
      d.store.set({ liveOff: off, toast: off ? "The live picture is off: a small one follows the hand." : on });
    },
  },
  {
    name: "picture", group: "picture", words: "the picture, all lights together", keys: [{ key: "p" }],
    do: (d) => { d.store.set({ large: "picture" }); d.frame("picture"); },
  },
  {
    name: "stops", group: "picture", words: "the picture in whole stops", keys: [{ key: "s" }], can: noPicture,
    do: (d) => { d.store.set({ large: "picture" }); d.frame("stops"); },
  },
  {
    name: "alone", group: "picture", words: "one light alone in the picture", told: true,
    keys: [1, 2, 3, 4, 5, 6, 7, 8, 9].map((k) => ({ key: `Alt+${k}`, says: { n: k } })),
    do: (d, x) => {
      const path = x.path || x.text || lit(d.store.page)[x.n - 1]?.path || "";
      if (path) d.frame("light", path);
      else d.frame("picture");
    },
    each: (p) => lit(p).map((l) => ({ words: `picture of ${wholeName(l)} alone`, says: { path: l.path } })),
  },
  {
    name: "exchange", group: "picture", words: "plan and picture change places", keys: [{ key: "x" }],
    do: (d) => d.store.set({ large: d.store.page.large === "plan" ? "picture" : "plan", pane: "desk" }),
  },
  {
    name: "before", group: "picture", words: "what was before the last change, beside the picture under a wipe",
      keys: [{ key: "j" }],
    do: (d) => { picture.beside(d); d.focus("wipe"); },
  },
  {
    name: "flip", group: "picture",
      words: "before the last change while Space is held; a tap keeps it until the next", told: true,
    do: (d) => picture.flip(d, true, 0),
  },
  {
    name: "beside", group: "picture", words: "another setup beside the picture", told: true,
      keys: [{ key: "\\", says: { arg: "next" } }],
    can: (p) => ((p.state?.setups.length ?? 0) > 1 ? "" : "There is one setup only."),
    do: (d, x) => picture.compareSetup(d, x.arg === "next" ? picture.nextBeside(d) : x.text !== ""
      ? Number(x.text) : x.n),
    each: (p) => (p.state?.setups ?? []).map((s, i) => ({ words: `${s.name} beside the picture`, says: { n: i }, i }))
      .filter((e) => e.i !== p.setup),
  },
  {
    name: "spotkey", group: "picture",
      words: "the keyboard onto the picture: arrow keys move the spot, Enter reads it", keys: [{ key: "q" }],
    can: noPicture, do: (d) => d.focus("frame"),
  },
  {
    name: "keep", group: "picture", words: "keep the spot that was read as a point", undo: "keep …", can: noSpot,
    do: (d) => d.keepSpot(document.querySelector<HTMLInputElement>("#spotname")?.value),
  },
  { name: "unspot", group: "picture", words: "close the reading of the spot", when: (p) => p.spot !== null,
    do: (d) => d.store.set({ spot: null }) },
  { name: "focusspot", group: "picture", words: "focus on the spot that was read", undo: "focus on the spot",
    can: noSpot, do: (d) => picture.focusSpot(d) },
  {
    name: "crop", group: "picture", words: "crop", keys: [{ key: "Shift+C" }], can: noPicture,
    do: (d) => d.store.set({ tool: d.store.page.tool === "crop" ? "" : "crop", large: "picture" }),
  },
  { name: "shape", group: "form", words: "shape of the crop", undo: "crop",
    do: (d, x) => picture.cropShape(d, Number(x.arg)) },
  {
    name: "coverview", group: "picture", words: "where a cover’s type stands", keys: [{ key: "v" }], can: noPicture,
    do: (d) => d.store.set({ tool: d.store.page.tool === "cover" ? "" : "cover", large: "picture" }),
  },
  { name: "cover", group: "form", words: "this picture is for a cover", undo: "for a cover",
    do: (d, x) => picture.cover(d, x.arg, x.text) },
  {
    name: "again", group: "picture", words: "try again to compute the picture", when: (p) => p.fault !== "",
    do: (d) => { d.store.set({ fault: "" }); void d.live.fetchFilm(true); },
  },
];
