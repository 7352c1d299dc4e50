// Actions on the camera and the hour.
import type { Page } from "../../state/store.ts";
import { asSaid, type Action, type Key } from "../action.ts";
import * as picture from "../picture.ts";
import * as place from "../place.ts";

const noCamera = (p: Page): string => (p.view?.camera ? "" : "This setup has no camera.");
const noHours = (p: Page): string => (p.view?.hours ? "" : "Nothing in this setup goes with the clock.");
const two = (less: string, more: string, arg = ""): Key[] => [{ key: less, says: { by: -1, arg } },
  { key: more, says: { by: 1, arg } }];

export const cameraActions: readonly Action[] = [
  {
    name: "dial-aperture", group: "camera and hour", words: "aperture: close or open by a step",
      undo: "set aperture …", told: true,
    keys: two("[", "]"), can: noCamera, turn: asSaid, do: (d, x) => d.dial("aperture", x.by),
  },
  {
    name: "dial-shutter", group: "camera and hour", words: "shutter: shorter or longer by a step",
      undo: "set shutter …", told: true,
    keys: two(";", "'"), can: noCamera, turn: asSaid, do: (d, x) => d.dial("shutter", x.by),
  },
  {
    name: "dial-iso", group: "camera and hour", words: "sensitivity: less or more by a step", undo: "set ISO …",
      told: true, keys: two("{", "}"),
    can: noCamera, turn: asSaid, do: (d, x) => d.dial("iso", x.by),
  },
  {
    name: "wb", group: "camera and hour", words: "white balance: a cooler or warmer picture",
      undo: "white balance …", told: true,
    keys: two(":", "\""), can: noCamera, turn: asSaid, do: (d, x) => d.whiteBalance(x.by),
  },
  {
    name: "lens", group: "camera and hour", words: "focal length: shorter or longer", undo: "lens …", told: true,
      keys: two("<", ">"),
    can: noCamera, turn: asSaid, do: (d, x) => picture.lens(d, x.by),
  },
  { name: "camera", group: "form", words: "a setting of the camera, typed", undo: "set … …", do: (d, x) => {
    picture.cameraTyped(d, x.arg, x.text);
    d.store.set({});
  } },
  { name: "focus", group: "form", words: "what is sharp", undo: "focus on …", do: (d, x) => picture.focus(d, x.text) },
  {
    name: "addcamera", group: "camera and hour", words: "add a camera", undo: "add camera",
      when: (p) => p.view !== null && !p.view.camera,
    do: (d) => d.addCamera(),
  },
  {
    name: "addsitter", group: "camera and hour", words: "add a sitter", undo: "add sitter",
      when: (p) => p.view !== null && !p.view.sitter,
    do: (d) => d.addSitter(),
  },
  {
    name: "hourby", group: "camera and hour", words: "hour shown: back or on by five minutes", told: true,
      keys: two(",", "."), can: noHours,
    do: (d, x) => place.stepHour(d, 5 * x.by),
  },
  { name: "scrub", group: "form", words: "hour shown", live: true, do: (d, x) => place.showHour(d, Number(x.text)) },
  { name: "clock", group: "form", words: "hour shown, typed", do: (d, x) => {
    place.typedHour(d, x.text);
    d.store.set({});
  } },
  {
    name: "hour", group: "camera and hour", words: "back to the hour in the file", when: (p) => p.hour !== null,
      do: (d) => place.showHour(d, null),
  },
  {
    name: "assumes", group: "camera and hour", words: "what the daylight of another hour assumes", can: noHours,
    do: (d) => d.store.set({ assumes: !d.store.page.assumes }),
  },
];
