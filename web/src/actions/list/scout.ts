// Actions of the Scout screen.
import { walked } from "../../model/walk.ts";
import type { Page } from "../../state/store.ts";
import type { ScoutPane, ScoutTool } from "../../state/scout.ts";
import type { Action } from "../action.ts";
import { whyNoScan } from "../scan.ts";
import { heightOf, marksOf } from "../scout.ts";

const here = (p: Page): boolean => p.pane === "scout",
  photos = (p: Page): boolean => here(p) && p.scPart === "photos" &&
  p.scPhoto > 0, scanned = (p: Page): boolean => here(p) && p.scPart === "scan" && p.scScan !== null,
  walking = (p: Page): boolean => here(p) && p.scPart === "walk";

const panes: readonly (readonly [ScoutPane, string])[] = [["photos", "photographs of the place, to be measured"],
  ["scan", "a phone’s scan of the room"], ["walk", "walk round the room with a tape"],
  ["assumed", "what is assumed of the place, and what hangs on it"]];

const tools: readonly (readonly [ScoutTool, string, string])[] = [["spot", "press what is to be measured", "m"],
  ["card", "press a grey card, paper or a stated white", "g"],
    ["corner", "press corners of the room: where it was taken",
    "r"]];

export const scoutActions: readonly Action[] = [
  { name: "scpart", group: "scout", words: "another part of the scouting", when: here, do: (d, x) =>
    d.store.set({ scPart: x.arg as ScoutPane }), each: () => panes.map(([arg, words]) => ({ words, says: { arg } })) },
  { name: "scphoto", group: "form", words: "show this photograph", do: (d, x) => d.scout.show(x.n) },
  { name: "scdrop", group: "scout", words: "let the photograph go", when: photos, do: (d) =>
    d.scout.drop(d.store.page.scPhoto) },
  { name: "scstop", group: "scout", words: "stop bringing photographs", when: (p) => here(p) && p.scBusy === "photo",
    do: (d) => d.scout.stopBringing() },
  { name: "scanstop", group: "scout", words: "stop bringing the scan", when: (p) => here(p) && p.scBusy === "scan",
    do: (d) => d.scout.scan.stop() },
  ...tools.map(([tool, words, key]): Action => ({ name: `sctool-${tool}`, group: "scout", words, when: photos,
    keys: [{ key }], do: (d) => d.store.set({ scTool: tool }) })),
  { name: "scknown", group: "form", words: "reflectance of the card", do: (d, x) => d.scout.known(x.text) },
  { name: "scwhite", group: "form", words: "what light is white in the photograph", do: (d, x) =>
    d.scout.white(x.text) },
  { name: "scnocard", group: "scout", words: "forget the card", when: (p) => photos(p) && marksOf(p).card !== null,
    do: (d) => d.scout.noCard() },
  { name: "scunspot", group: "form", words: "take this spot out", do: (d, x) => d.scout.unspot(x.n) },
  { name: "sctarget", group: "form", words: "what of the shoot this is", do: (d, x) =>
    d.scout.target(Number(x.arg), x.text) },
  { name: "scput", group: "form", words: "put it into the shoot", undo: "take … from …", can: (p, x) =>
    (marksOf(p).spots[x.n]?.target ? "" : "Say first what it is: a wall, a lamp, a thing."),
    do: (d, x) => void d.scout.put(x.n) },
  { name: "sclights", group: "scout", words: "the colours of light that the place offers", when: photos, do: (d) =>
    void d.scout.lights() },
  { name: "sccorner", group: "form", words: "name this corner", do: (d, x) => d.scout.corner(x.n) },
  { name: "scuncorner", group: "form", words: "take this corner out", do: (d, x) => d.scout.uncorner(x.n) },
  { name: "scplace", group: "form", words: "which corner it is", do: (d, x) => d.scout.name(x.text, Number(x.arg)) },
  { name: "scname", group: "form", words: "it is this corner", do: (d, x) => d.scout.name(x.arg) },
  { name: "scunder", group: "form", words: "how much of the photograph lies over the frame", live: true, do: (d, x) =>
    d.store.set({ scUnder: Number(x.text) }) },
  { name: "scflip", group: "scout", words: "photograph or predicted frame", keys: [{ key: "x" }],
    when: (p) => photos(p) && p.scStation !== null, do: (d) =>
      d.store.set({ scUnder: d.store.page.scUnder > 50 ? 0 : 100 }) },
  { name: "scstand", group: "scout", words: "stand the setup’s camera where the photograph was taken",
    undo: "stand the camera where … was taken", when: photos, can: (p) => (p.scStation ? ""
      : "Press four corners of the room and name them first."), do: (d) => d.scout.takeStand() },
  { name: "scanunit", group: "form", words: "unit of the scan’s file", do: (d, x) => void d.scout.scan.find({
    unit: x.text }) },
  { name: "scanup", group: "form", words: "which way is up in the scan", do: (d, x) => void d.scout.scan.find({
    up: x.text }) },
  { name: "scansure", group: "form", words: "unit and direction of the scan are so", do: (d) => d.scout.scan.sure() },
  { name: "scanturn", group: "scout", words: "turn the scan by a quarter", when: scanned, do: (d) =>
    d.scout.scan.turn() },
  { name: "scanpart", group: "form", words: "surface of the scan whose reflectance is known", do: (d, x) =>
    void d.scout.scan.find({ part: x.text }) },
  { name: "scanknown", group: "form", words: "its reflectance", do: (d, x) => d.scout.scan.known(x.text) },
  { name: "scancut", group: "form", words: "box to take out of the scan", do: (d, x) => d.scout.scan.cutText(x.text) },
  { name: "scanuncut", group: "form", words: "put back what lay in this box", do: (d, x) => d.scout.scan.uncut(x.n) },
  { name: "scandrop", group: "scout", words: "let the scan go", when: scanned, do: (d) => d.scout.scan.drop() },
  { name: "scanwrite", group: "scout", words: "write the scan as the room", undo: "the room from …", when: scanned,
    can: whyNoScan, do: (d) => void d.scout.scan.write(false) },
  { name: "scankeep", group: "scout", words: "put only what stands in the scan into the room", undo: "the room from …",
    when: (p) => scanned(p) && (p.scout?.outline.length ?? 0) > 0, can: whyNoScan, do: (d) =>
      void d.scout.scan.write(true) },
  { name: "walklen", group: "form", words: "length of this side", do: (d, x) => d.scout.length(Number(x.arg), x.text) },
  { name: "walknext", group: "form", words: "the next side", do: (d, x) => {
    d.scout.length(x.n, x.text);
    d.open(`walklen-${Math.min(x.n + 1, d.store.page.walk.length - 1)}`);
  } },
  { name: "walkturn", group: "form", words: "turn after this side", do: (d, x) => d.scout.turn(Number(x.arg), x.text) },
  { name: "walkdrop", group: "form", words: "take this side out", do: (d, x) => d.scout.unside(x.n) },
  { name: "walkheight", group: "form", words: "height of the ceiling", do: (d, x) => d.scout.height(x.text) },
  { name: "walkagain", group: "scout", words: "begin the walk again", when: walking, do: (d) => d.scout.restart() },
  { name: "walkwrite", group: "scout", words: "write the room as walked", undo: "walk round the room", when: walking,
    can: (p) => walked(p.walk, p.units).why || (heightOf(p) === null ? "Say the height of the ceiling." : ""),
    do: (d) => d.scout.write() },
];
