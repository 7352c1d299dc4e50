// What the person does in the plan and with the hour, beside dragging.
import { clamped } from "../model/hour.ts";
import { atAngle, atDistance, nameOfThing, placeOfThing, whyNot, type Thing, type V3 } from "../model/things.ts";
import { parseClock, readLength } from "../units/measures.ts";
import type { Desk } from "./desk.ts";

export function cycleContours(d: Desk, to?: "off" | "meter" | "lights"): void {
  const now = d.store.page.contours;
  d.store.set({ contours: to ?? (now === "off" ? "meter" : now === "meter" ? "lights" : "off") });
}

export const fit = (d: Desk): void => d.store.set({ zoom: { x: 0, y: 0, k: 1 } });

/** Whether a place would keep the whole setup from being built, so that nothing is asked of the program. */
export const impossible = (t: Thing, why: string): boolean => (t.what === "camera" || t.what === "sitter" ||
  t.what === "point") && (why.startsWith("in wall") || why.startsWith("outside"));

/**
 * A dimension typed for the selected thing: x, y, z, far (to the face) or
 * side (angle at the face); says what is wrong with it.
 */
export function typed(d: Desk, key: string, text: string): void {
  const v = d.store.page.view, t = d.store.page.thing, at = v && t ? placeOfThing(v, t) : null;
  if (!v || !t || !at) return;
  const say = (toast: string) => d.store.set({ toast });
  let to: V3 | null = null;
  if (key === "side") {
    const m = text.trim().toLowerCase().replace(/\u2212/g, "-").replace(",", ".")
      .match(/^(camera )?(left|right|l|r)?\s*(-?\d+(?:\.\d+)?)\s*(?:°|deg|degrees)?\s*(left|right|l|r)?$/);
    if (!m) return say(`"${text}" is no angle; write 45, left 45 or 45 right`);
    const way = (m[2] ?? m[4] ?? "").startsWith("l") ? -1 : 1;
    to = atAngle(v, at, way * Number(m[3]));
  } else {
    const x = readLength(text, d.store.page.units);
    if (x === null) return say(`"${text}" is no length; write 2.4 m, 2,4, 240 cm or 7 ft 10 in`);
    if (key === "far") {
      to = atDistance(v, at, x);
      if (!to)
        return say(`${nameOfThing(v, t)} hangs farther than that above or below the face: change its height first`);
    } else to = key === "x" ? [x, at[1], at[2]] : key === "y" ? [at[0], x, at[2]] : [at[0], at[1], x];
  }
  if (!to) return;
  const rounded: [number, number, number] = [round(to[0]), round(to[1]), round(to[2])], why = whyNot(v, t, rounded);
  if (impossible(t, why)) return say(`${nameOfThing(v, t)} would be ${why}: it stays where it is`);
  d.move({ what: t.what, path: t.path, at: rounded }, "");
}

const round = (v: number): number => Math.round(v * 1000) / 1000;

/** Turns the sitter's head. */
export function turnSitter(d: Desk, text: string): void {
  const s = d.store.page.view?.sitter,
    m = text.trim().replace(/\u2212/g, "-").replace(",", ".").match(/^(-?\d+(?:\.\d+)?)\s*(?:°|deg|degrees)?$/);
  if (!s) return;
  if (!m || Math.abs(Number(m[1])) > 90) {
    d.store.set({ toast: `"${text}" is no turn of the head; write degrees from −90 to 90` });
    return;
  }
  d.editor.edit("turn sitter's head", [{ set: `${s.path}.turn`, value: `${Number(m[1])} deg` }]);
}

/** The height of the contours. */
export function contoursAt(d: Desk, text: string): void {
  const z = text.trim() === "" ? null : readLength(text, d.store.page.units);
  if (text.trim() !== "" && (z === null || z < 0 || z > 30)) {
    d.store.set({ toast: `"${text}" is no height for contours` });
    return;
  }
  d.store.set({ contourZ: z });
}

/**
 * Shows a minute of the day; null goes back to the setup's own. At once what was traced is
 * weighed by it; the program follows with that hour's sky and sun.
 */
export function showHour(d: Desk, minute: number | null): void {
  const h = d.store.page.view?.hours;
  if (!h) return;
  const to = minute === null ? null : clamped(h, minute);
  d.store.set({ hour: to === h.at ? null : to });
  void d.live.hour();
}

export function stepHour(d: Desk, by: number): void {
  const h = d.store.page.view?.hours;
  if (h) showHour(d, (d.store.page.hour ?? h.at) + by);
}

export function typedHour(d: Desk, text: string): void {
  const m = parseClock(text);
  if (m === null) d.store.set({ toast: `"${text}" is no time of day; write 17:40 or 5:40 pm` });
  else showHour(d, m);
}
