// Lays out the words of the plan: names, faults, distances and numbers, each where it covers least.
import { wholeName } from "../model/names.ts";
import type { LightView, SetupView } from "../model/wire.ts";
import { lengthText } from "../units/stops.ts";
import { around, boxOf, Labels, widthOf, type Offer } from "./labels.ts";
import type { PlanLook } from "./plan.ts";
import { px, py, type Place } from "./place.ts";

/** Where words stand, by kind and path: 'name …', 'fault …', 'far …', 'panel …', 'point n'. */
export interface PlanLabels { at: Map<string, Offer>; labels: Labels }

const anchorOf = (look: PlanLook, path: string, at: readonly number[]): readonly number[] => (
  look.moved?.path === path ? look.moved.at : at);

/** Radius of a light's drawing, pixels. */
const sizeOf = (l: LightView, p: Place): number =>
  9 + 0.3 * p.s * Math.max(0.2, ...l.bodies.map((b) => Math.max(b.width, b.height) * Math.hypot(b.side[0], b.side[1])));

/** Offers along a line, over and under it, the text turned with it and never upside down. */
function along(x: number, y: number, ex: number, ey: number): Offer[] {
  let a = (Math.atan2(ey - y, ex - x) * 180) / Math.PI;
  if (a > 90 || a <= -90) a += 180;
  const t = (a * Math.PI) / 180;
  return [0.42, 0.55, 0.3, 0.68,
    0.2].flatMap((f) => [-4,
      11].map((off): Offer => ({ x: x + (ex - x) * f - Math.sin(t) * off, y: y + (ey - y) * f + Math.cos(t) * off,
        anchor: "middle", turn: a })));
}

/** was: where words stood a moment ago; while a hand moves something only its own words move. */
export function planLabels(v: SetupView, p: Place, look: PlanLook, was?: PlanLabels): PlanLabels {
  const X = (c: readonly number[]) => px(p, c[0] ?? 0), Y = (c: readonly number[]) => py(p, c[1] ?? 0),
    at = new Map<string, Offer>();
  const inside = v.room.outline.length > 2 ? { x: px(p, p.lo[0]) + 4, y: py(p, p.hi[1]) + 4,
    w: (p.hi[0] - p.lo[0]) * p.s - 8, h: (p.hi[1] - p.lo[1]) * p.s - 8 } : null;
  const labels = new Labels(inside), put = (key: string, text: string, size: number, bold: boolean,
    offers: Offer[]) => {
    const w = widthOf(text, size, bold), own = look.moved?.path.replace(/\.aim$/, ""),
      had = own !== undefined && !key.endsWith(` ${own}`) ? was?.at.get(key) : undefined;
    if (had) labels.keep(boxOf(had, w, size));
    at.set(key, had ?? labels.put(w, size, offers));
  };
  const own = v.lights.filter((l) => l.at && !l.house)
    .map((l) => ({ l, c: anchorOf(look, l.path, l.at ?? []), aim: look.moved?.path === `${l.path}.aim`
      ? look.moved.at : l.aim }));
  // What stands there comes first.
  for (const { l, c } of own) labels.keepAround(X(c), Y(c), Math.min(22, sizeOf(l, p)));
  if (v.sitter) { const c = anchorOf(look, v.sitter.path, v.sitter.at); labels.keepAround(X(c), Y(c), 0.2 * p.s); }
  if (v.camera) { const c = anchorOf(look, v.camera.path, v.camera.at); labels.keepAround(X(c), Y(c), 8); }
  for (const q of v.panels) { const c = anchorOf(look, q.path, q.at); labels.keepAround(X(c), Y(c), 8); }
  const shown = v.points.map((q, i) => ({ q, i })).filter(({ q, i }) => q.path !== "" || i === look.point);
  for (const { q, i } of shown) {
    const c = anchorOf(look, q.path || `point${i}`, q.at);
    labels.keepAround(X(c), Y(c), 4);
  }
  // Names stand on the far side of the light from where it points, if that is free.
  for (const { l, c, aim } of own) {
    const dx = aim ? X(c) - X(aim) : 0, dy = aim ? Y(c) - Y(aim) : -1, r = Math.min(34, sizeOf(l, p));
    put(`name ${l.path}`, wholeName(l), 11.5, true, around(X(c), Y(c), r, dx, dy));
    const fault = look.faults.get(l.path), name = at.get(`name ${l.path}`);
    if (fault && name) put(`fault ${l.path}`, fault, 10.5, true,
        [{ ...name, y: name.y + 12 }, { ...name, y: name.y - 12 }, ...around(X(c), Y(c), r + 8, -dx, -dy)]);
  }
  for (const q of v.panels) {
    const c = anchorOf(look, q.path, q.at), fault = look.faults.get(q.path);
    put(`panel ${q.path}`, `${q.name} ${lengthText(q.width, look.feet)}`, 10.5, false, around(X(c), Y(c), 12, 0, -1));
    if (fault) put(`fault ${q.path}`, fault, 10.5, true, around(X(c), Y(c), 14, 0, 1));
  }
  for (const { q, i } of shown) {
    const c = anchorOf(look, q.path || `point${i}`, q.at), fault = q.path ? look.faults.get(q.path) : undefined;
    put(`point ${i}`, String(look.numbers[i] ?? i + 1), 10.5, true, around(X(c), Y(c), 6, 1, -1));
    if (fault) put(`fault ${q.path}`, fault, 10.5, true, around(X(c), Y(c), 10, 1, 1));
  }
  for (const { l, c, aim } of own) {
    if (!aim) continue;
    const far = Math.hypot(aim[0] - (c[0] ?? 0), aim[1] - (c[1] ?? 0), aim[2] - (c[2] ?? 0));
    put(`far ${l.path}`, lengthText(far, look.feet), 10, false, along(X(c), Y(c), X(aim), Y(aim)));
  }
  return { at, labels };
}

/** Attributes of a text that stands at an offer. */
export const spot = (o: Offer | undefined): { x: number; y: number; anchor: string; turn: number } => (
  { x: Math.round((o?.x ?? 0) * 10) / 10, y: Math.round((o?.y ?? 0) * 10) / 10, anchor: o?.anchor ?? "start",
    turn: Math.round((o?.turn ?? 0) * 10) / 10 });
