// The plan's part of the page: what is drawn of the store, and with what look.
import { contourLines, type ContourLook } from "../draw/contourlines.ts";
import { hatches } from "../draw/hatch.ts";
import { holding } from "../draw/holding.ts";
import { dot, placeOf, poly, px, py, pz, sx, type Place } from "../draw/place.ts";
import { Labels } from "../draw/labels.ts";
import { plan, type PlanLook } from "../draw/plan.ts";
import { planLabels, type PlanLabels } from "../draw/planlabels.ts";
import { section } from "../draw/section.ts";
import { weights } from "../model/light.ts";
import { numbersIn } from "../model/numbers.ts";
import type { FieldsView, LightView, SetupView } from "../model/wire.ts";
import { trialOf, type Page } from "../state/store.ts";
import { group, kept, m, type Markup } from "../units/markup.ts";
import { faultsOf } from "./faults.ts";

/** The key's reading at the face, lx·s: what zero stop is for lights each by itself. */
function keyAtFace(p: Page, w: readonly number[]): number {
  const i = p.view?.points.findIndex((q) => q.name === "face key side") ?? -1, u = p.readings?.units[i >= 0 ? i : 0];
  const sum = u?.incident.reduce((a, x, l) => a + (x[1] ?? 0) * (w[l] ?? 0), 0) ?? 0;
  return sum > 0 ? sum : 1;
}

interface Kept { of: string; fields: unknown; markup: Markup }

const nothing = (): Kept => ({ of: "", fields: null, markup: m`` });

export class PlanPart {
  private readonly drawn: { plan: Kept; section: Kept } = { plan: nothing(), section: nothing() };

  private labels: PlanLabels | undefined;

  /** Everything in the drawing, and the scale that it is at. */
  draw(p: Page, v: SetupView, w: number, h: number, colour: (l: LightView) => string,
    old: boolean): { place: Place; markup: Markup } {
    const place = placeOf(v, w, h, p.zoom), feet = p.units.lengths === "feet", d = p.drag;
    const moved = d?.at ? { path: d.what === "aim" ? `${d.path}.aim` : d.path, at: d.at } : null;
    const look: PlanLook = { colour, light: p.light, point: p.point, faults: faultsOf(p, v), moved,
      thing: p.thing && p.thing.what !== "light" ? p.thing.path : "", feet, numbers: numbersIn(p.view, p.numbers),
      under: m``, underSection: m`` };
    const labels = (this.labels = planLabels(v, place, look, this.labels));
    look.under = this.contours(p, v, place, colour, old, p.fields, this.drawn.plan, labels.labels);
    look.underSection = this.contours(p, v, place, colour, old, p.section, this.drawn.section, sectionTaken(v, place));
    const [x0, y0] = place.lo, [x1, y1] = place.hi;
    const rect = (left: number, top: number, bottom: number) =>
      m`<rect x="${dot(left)}" y="${dot(top)}" width="${dot((x1 - x0) * place.s)}" height="${dot(bottom - top)}"/>`;
    const room = v.room.outline.length > 2
      ? m`<path d="${poly(v.room.outline.map((c): [number, number] => [px(place, c[0]), py(place, c[1])]))}"/>`
      : rect(px(place, x0), py(place, y1), py(place, y0));
    const hand = d?.at && d.view ? holding(v, place, { what: d.what, at: d.at, view: d.view, lines: d.lines ?? [],
      why: d.why ?? "", feet }) : m``;
    return { place,
      markup: m`${hatches("pl")}${kept(m`<defs data-key="pl-clips"><clipPath id="room">${room}</clipPath>
        <clipPath id="sec">${rect(sx(place, x0), pz(place, place.ceiling), pz(place, 0))}</clipPath></defs>`)}${plan(
        v, place, look, labels)}${section(v, place, look)}${scaleBar(place, feet)}${group("pl-hand", hand)}${group(
        "pl-note", d?.note
          ? m`<text class="note" x="${dot(w / 2)}" y="${h - 8}" text-anchor="middle">${d.note}</text>` : "")}` };
  }

  /** Contours of the mix, drawn anew only where something that they hang on has changed. */
  private contours(p: Page, v: SetupView, place: Place, colour: (l: LightView) => string, old: boolean,
    f: FieldsView | null, kept: Kept, taken: Labels): Markup {
    const c = v.camera;
    if (p.contours === "off" || !f || f.index !== v.index || f.nx < 2 ||
        (f.meter === "camera") !== (p.contours === "meter")) return m``;
    const trial = trialOf(p), count = v.lights.reduce((n, l) => Math.max(n, l.layer + 1), 0),
      all = weights(v, trial, p.solo, count);
    // By name: an old field may be of other layers than there are now.
    const weight = f.layers.map((x) => {
      const l = v.lights.find((y) => y.name === x.name && y.layer >= 0);
      return l ? all[l.layer] ?? 0 : 0;
    });
    const aperture = trial.aperture ?? c?.aperture.value ?? 4, iso = trial.iso ?? c?.iso.value ?? 100,
      ref = p.contours === "lights" ? keyAtFace(p, all) : 1;
    const of = JSON.stringify([weight, aperture, iso, p.contours === "lights" ? Math.round(200 * Math.log2(ref)) : 0,
      p.light, p.theme, old, place.s, place.x0, place.xSec, place.yPlan, p.contours, v.sitter?.at,
      v.lights.map((l) => l.tint)]);
    if (of === kept.of && f === kept.fields) return kept.markup;
    const look: ContourLook = { kind: p.contours, fields: f, weight, iso, aperture, ref, light: p.light, colour, old };
    Object.assign(kept, { of, fields: f, markup: contourLines(v, place, look, taken) });
    return kept.markup;
  }
}

/** What contour labels in the section keep clear of. */
function sectionTaken(v: SetupView, p: Place): Labels {
  const out = new Labels(null),
    keep = (c: readonly number[], r: number) => out.keepAround(sx(p, c[0] ?? 0), pz(p, c[2] ?? 0), r);
  for (const l of v.lights) {
    if (!l.at || l.house) continue;
    keep(l.at, 16);
    // Its height is written beside it, half way up.
    out.keep({ x: sx(p, l.at[0] + 0.5) - 14, y: pz(p, l.at[2] / 2) - 18, w: 16, h: 36 });
  }
  if (v.camera) keep(v.camera.at, 14);
  if (v.sitter?.landmarks.face) keep(v.sitter.landmarks.face, 18);
  return out;
}

/** A metre, or three feet, at the drawing's scale; more or less of them where that would be too short or too long. */
export function scaleBar(p: Place, feet: boolean): Markup {
  const unit = feet ? 0.3048 : 1, counts = feet ? [1, 3, 6, 10, 30, 60] : [0.2, 0.5, 1, 2, 5, 10, 20],
    n = counts.find((k) => k * unit * p.s >= 42) ?? counts[counts.length - 1] ?? 1;
  const w = n * unit * p.s, x = 10, y = p.h - 9;
  return m`<g class="scale" aria-hidden="true"><path d="M${x} ${y - 4}v4h${dot(w)}v-4"/>
    <text class="lab" x="${dot(x + w + 5)}" y="${y}">${feet ? `${n} ft` : `${n} m`}</text></g>`;
}
