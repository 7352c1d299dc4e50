// The list of all actions, searched by the words that a photographer would use.
import type { Pane, Page } from "../state/store.ts";
import { press, type Action, type Press } from "./action.ts";
import { screenNames } from "./list/page.ts";
import { actionOf, actions } from "./registry.ts";

export interface Listed {
  action: Action;
  words: string;
  says: Partial<Press>;
  /** Why it cannot be done now; empty: it can. */
  why: string;
  /** The action that it leads to, on another screen or in a field; its keys are shown. */
  leads?: Action;
}

/** Words of one meaning: who looks for one of them finds what is called by another. */
const alike: readonly (readonly string[])[] = [
  ["select a light", "lamp", "head", "flash", "strobe", "unit", "fixture", "luminaire"],
  ["light a tenth up or down", "power", "output", "dim", "brighter", "darker", "level", "fader", "intensity"],
  ["sensitivity", "iso", "asa", "ei", "gain", "film speed"],
  ["shutter", "exposure time", "sync", "ambient", "drag the shutter"],
  ["aperture", "iris", "f-stop", "f-number", "diaphragm", "stop down", "exposure"],
  ["white balance", "wb", "kelvin", "cct", "colour temperature", "color temperature"],
  ["focal length", "lens", "zoom", "mm", "angle of view", "wide", "tele"],
  ["sharp", "focus", "depth of field", "dof"],
  ["spot, enter reads it", "meter", "spot meter", "pick a tone", "eyedropper", "read the picture"],
  ["in whole stops", "false colour", "false color", "zones", "exposure map"],
  ["undo", "revert", "take back", "mistake"],
  ["crop", "aspect", "ratio", "square", "format"],
  ["plan", "floor plan", "map", "top view", "overhead", "bird", "layout"],
  ["plan nearer", "zoom", "closer", "magnify"],
  ["contours", "falloff", "fall-off", "isolux", "lux", "heat map", "spread"],
  ["what was before", "compare", "difference", "a/b"],
  ["lights of the house", "practical", "existing light", "available light", "ambient"],
  ["colour", "color", "gel", "cto", "ctb", "filter", "hue", "rgb"],
  ["points on the picture", "labels", "marks", "overlay", "hide"],
  ["hold", "pin", "keep"],
  ["lock", "protect", "freeze", "hold"],
  ["balance", "solve", "auto", "match", "optimise", "optimize", "get there"],
  ["ways out of", "fix", "suggest", "solution", "options", "help", "rescue"],
  ["checks:", "warning", "error", "problem", "safety", "risk"],
  ["text", "yaml", "source", "code", "raw"],
  ["setup", "shot", "scene", "picture", "frame"],
  ["duplicate", "copy", "clone"],
  ["delete", "remove", "take out", "trash", "erase"],
  ["under another name", "export", "save", "copy", "file name"],
  ["dark ground or light", "dark mode", "light mode", "theme", "night"],
  ["mid-grey", "gray", "neutral", "surround", "judge"],
  ["light alone", "solo", "only", "isolate"],
  ["light off or on", "mute", "kill", "switch", "turn off"],
  ["hour", "time", "sun", "daylight", "clock", "dusk", "golden"],
  ["kit list", "packing", "van"],
  ["the kit:", "gear", "equipment", "own lights", "inventory"],
  ["learning", "readings", "calibrate", "meter"],
  ["metres or feet", "inches", "imperial", "units", "metric"],
  ["late", "behind", "running over", "delay"],
  ["photographs", "scout", "recce", "location"],
  ["papers", "pdf", "print", "call sheet", "sheet"],
  ["draw the room", "walls", "window", "door", "furniture", "set"],
  ["sitter", "subject", "model", "person", "talent"],
  ["add a light", "strobe", "flash", "head", "lamp", "new", "another light", "place a light"],
  ["cover", "masthead", "magazine", "type"],
  ["actions", "shortcut", "hotkey", "commands", "keys", "help"],
  ["level or a reading", "target", "goal", "want"],
];

/** Screens that actions of a form belong to, by how their names begin. */
const homes: readonly (readonly [RegExp, Pane])[] = [
  [/^(day|kitout|kitback|paper)/, "day"], [/^lib/, "library"], [/^(sc|walk)/, "scout"], [/^(kit|read|learn)/, "kit"],
  [/^(ed|field|flag|wall|plac|typedwall|backwall|closewalls|paint)/, "edit"], [/^(name|keepsetup)$/, "setups"],
  [/^take$/, "ways"],
];

const home = (a: Action): Pane => (["day", "library", "scout", "kit"] as Pane[]).find((x) => x === a.group)
  ?? homes.find(([of]) => of.test(a.name))?.[1] ?? "desk";

const screen = (x: Pane): string => screenNames.find(([k]) => k === x)?.[1] ?? x;

/** Whether a word is one of a text's words, or begins one. */
const begins = (text: string, word: string): boolean =>
  ` ${text.replace(/[^\p{L}\p{N}-]+/gu, " ")}`.includes(` ${word.replace(/[^\p{L}\p{N}-]+/gu, " ")}`);
const whole = (text: string, word: string): boolean => begins(`${text} `, `${word} `);

/**
 * How well an entry fits: by whole words of its own, by words of the same meaning that it begins
 * with, by parts of its own words, by words of the same meaning anywhere; 0: not at all.
 */
function fits(text: string, seek: string, words: readonly string[]): number {
  if (words.every((w) => whole(text, w))) return 4;
  const same = alike.filter((set) => text.includes(set[0] ?? "") && set.includes(seek));
  if (same.some((set) => begins(text.slice(0, 40), set[0] ?? ""))) return text.startsWith(same[0]?.[0] ?? "") ? 3 : 2.5;
  if (words.every((w) => text.includes(w))) return 2;
  const own = (w: string): boolean => text.includes(w) || (w.length > 1 && alike.some((set) =>
    text.includes(set[0] ?? "") && set.some((x) => begins(x, w))));
  return same.length > 0 || words.every(own) ? 1 : 0;
}

function entries(p: Page, a: Action): Listed[] {
  const to = actionOf("gofield"), at = home(a), there = a.when?.(p) !== false;
  if (to && (a.group === "form" || (!there && p.pane !== at))) {
    const where = at === p.pane ? "" : `, on the ${screen(at)} screen`;
    return [{ action: to, words: `${a.words}${where}`, says: { arg: a.name, path: at }, why: "", leads: a }];
  }
  if (!there) return [{ action: a, words: a.words, says: {}, why: "there is nothing to do it to now" }];
  const each = a.each?.(p) ?? [{ words: a.words, says: {} }];
  if (each.length === 0) {
    return [{ action: a, words: a.words, says: {}, why: a.can?.(p, press({})) || "there is none here" }];
  }
  return each.map((e) => ({ action: a, words: e.words, says: e.says, why: a.can?.(p, press(e.says)) ?? "" }));
}

/** What a form does comes last, and what the list itself is made of not at all. */
const all = [...actions.filter((a) => a.group !== "form"), ...actions.filter((a) => a.group === "form")]
  .filter((a) => a.name !== "seek" && a.name !== "gofield");

/** The actions that fit the words looked for, each with why it cannot be done now; those by their own words first. */
export function listed(p: Page, seek: string): Listed[] {
  const asked = seek.toLowerCase().trim(), words = asked.split(/\s+/).filter(Boolean),
    found: (readonly [number, Listed])[] = all.flatMap((a) => entries(p, a).map((x) => [
      fits(`${x.words} ${a.words} ${a.group}`.toLowerCase(), asked, words), x] as const));
  const best = [4, 3, 2.5, 2, 1].flatMap((n) => found.filter(([fit]) => fit === n).map(([, x]) => x));
  // Nothing asked: what is here comes first, then what other screens and fields have.
  return asked ? best : [...best.filter((x) => !x.leads), ...best.filter((x) => x.leads)];
}
