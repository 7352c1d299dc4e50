// The plan's part of the page: what is drawn of the store, and with what look.
import { contourLines, type ContourLook } from "../draw/contourlines.ts";
import { hatches } from "../draw/hatch.ts";
import { holding } from "../draw/holding.ts";
import { dot, placeOf, poly, px, py, pz, type Place } from "../draw/place.ts";
import { plan, type PlanLook } from "../draw/plan.ts";
import { section } from "../draw/section.ts";
import { weights } from "../model/light.ts";
import { whyNot } from "../model/things.ts";
import type { LightView, SetupView } from "../model/wire.ts";
import { trialOf, type Page } from "../state/store.ts";
import { kept, m, type Markup } from "../units/markup.ts";
import { allMessages } from "./text.ts";

/** Words at what cannot be where it is, by path: from its geometry at once, else from the program's own checks. */
function faultsOf(p: Page, v: SetupView): Map<string, string> {
  const faults = new Map<string, string>(), serious = allMessages(p).filter((x) => x.severity === "error" || x.severity === "finding");
  const put = (what: string, path: string, at: readonly [number, number, number]) => {
    const why = whyNot(v, { what, path }, at);
    if (why) faults.set(path, why);
  };
  for (const l of v.lights) {
    if (!l.at || l.house) continue;
    put("light", l.path, l.at);
    const hit = faults.has(l.path) ? undefined : serious.find((x) => x.text.startsWith(l.name) || x.text.includes(` ${l.name} `));
    if (hit) faults.set(l.path, hit.text.replace(l.name, "").trim().slice(0, 44));
  }
  for (const q of v.panels) put("panel", q.path, q.at);
  // What is in the hand says it for itself.
  if (p.drag?.at) faults.delete(p.drag.path);
  return faults;
}

/** The key's reading at the face, lx·s: what zero stop is for lights each by itself. */
function keyAtFace(p: Page, w: readonly number[]): number {
  const i = p.view?.points.findIndex((q) => q.name === "face key side") ?? -1, u = p.readings?.units[i >= 0 ? i : 0];
  const sum = u?.incident.reduce((a, x, l) => a + (x[1] ?? 0) * (w[l] ?? 0), 0) ?? 0;
  return sum > 0 ? sum : 1;
}

export class PlanPart {
  private drawn: { of: string; fields: unknown; markup: Markup } = { of: "", fields: null, markup: m`` };

  /** Everything in the drawing, and the scale that it is at. */
  draw(p: Page, v: SetupView, w: number, h: number, colour: (l: LightView) => string, old: boolean): { place: Place; markup: Markup } {
    const place = placeOf(v, w, h, p.zoom), feet = p.units.lengths === "feet", d = p.drag;
    const moved = d?.at ? { path: d.what === "aim" ? `${d.path}.aim` : d.path, at: d.at } : null;
    const look: PlanLook = { colour, light: p.light, point: p.point, faults: faultsOf(p, v), moved, thing: p.thing && p.thing.what !== "light" ? p.thing.path : "", feet, under: this.contours(p, v, place, colour, old) };
    const [x0, y0] = place.lo, [x1, y1] = place.hi;
    const rect = (top: number, bottom: number) => m`<rect x="${dot(px(place, x0))}" y="${dot(top)}" width="${dot((x1 - x0) * place.s)}" height="${dot(bottom - top)}"/>`;
    const room = v.room.outline.length > 2 ? m`<path d="${poly(v.room.outline.map((c): [number, number] => [px(place, c[0]), py(place, c[1])]))}"/>` : rect(py(place, y1), py(place, y0));
    const hand = d?.at && d.view ? holding(v, place, { what: d.what, at: d.at, view: d.view, lines: d.lines ?? [], why: d.why ?? "", feet }) : m``;
    return { place, markup: m`${hatches("pl")}${kept(m`<defs data-key="pl-clips"><clipPath id="room">${room}</clipPath><clipPath id="sec">${rect(pz(place, place.ceiling), pz(place, 0))}</clipPath></defs>`)}${plan(v, place, look)}${section(v, place, look)}${hand}${d?.note ? m`<text class="note" x="${dot(w / 2)}" y="${h - 8}" text-anchor="middle">${d.note}</text>` : ""}` };
  }

  /** Contours of the mix, drawn anew only where something that they hang on has changed. */
  private contours(p: Page, v: SetupView, place: Place, colour: (l: LightView) => string, old: boolean): Markup {
    const f = p.fields, c = v.camera;
    if (p.contours === "off" || !f || f.index !== v.index || f.nx < 2 || (f.meter === "camera") !== (p.contours === "meter")) return m``;
    const trial = trialOf(p), count = v.lights.reduce((n, l) => Math.max(n, l.layer + 1), 0), all = weights(v, trial, p.solo, count);
    // By name: an old field may be of other layers than there are now.
    const weight = f.layers.map((x) => { const l = v.lights.find((y) => y.name === x.name && y.layer >= 0); return l ? all[l.layer] ?? 0 : 0; });
    const aperture = trial.aperture ?? c?.aperture.value ?? 4, iso = trial.iso ?? c?.iso.value ?? 100, ref = p.contours === "lights" ? keyAtFace(p, all) : 1;
    const of = JSON.stringify([weight, aperture, iso, p.contours === "lights" ? Math.round(200 * Math.log2(ref)) : 0, p.light, p.theme, old, place.s, place.x0, place.yPlan, p.contours, v.sitter?.at, v.lights.map((l) => l.tint)]);
    if (of === this.drawn.of && f === this.drawn.fields) return this.drawn.markup;
    const look: ContourLook = { kind: p.contours, fields: f, weight, iso, aperture, ref, light: p.light, colour, old };
    this.drawn = { of, fields: f, markup: contourLines(v, place, look) };
    return this.drawn.markup;
  }
}
