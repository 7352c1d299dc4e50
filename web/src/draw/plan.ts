// The plan from above: the place cut at eye height, true size.
import { wholeName } from "../model/names.ts";
import type { BodyView, LightView, SetupView } from "../model/wire.ts";
import { group, kept, m, type Markup } from "../units/markup.ts";
import { lengthText, metres } from "../units/stops.ts";
import { spot, type PlanLabels } from "./planlabels.ts";
import { bandFromAbove } from "./dof.ts";
import { dimension } from "./hatch.ts";
import { widthOf } from "./labels.ts";
import { dot, faceOf, hull, poly, px, py, type Place } from "./place.ts";

export interface PlanLook {
  colour: (l: LightView) => string;
  light: string;
  point: number;
  /** Path of what is being dragged and where it is now. */
  moved: { path: string; at: readonly [number, number, number] } | null;
  /** Short words at what cannot be, by path. */
  faults: Map<string, string>;
  /** Path of the selected thing that is no light. */
  thing: string;
  feet: boolean;
  /** Number of each point. */
  numbers: readonly number[];
  /** Contours, drawn under the things: in the plan, and in the section. */
  under: Markup;
  underSection: Markup;
}

export const anchorOf = (look: PlanLook, path: string, at: readonly number[]): readonly number[] => (
  look.moved?.path === path ? look.moved.at : at);

/** A text where it was laid out. */
function word(labels: PlanLabels, key: string, cls: string, text: string): Markup {
  const o = labels.at.get(key), w = spot(o);
  return !o ? m`` : o.turn !== undefined
    ? m`<text class="${cls}" transform="translate(${w.x} ${w.y}) rotate(${w.turn})" text-anchor="${w.anchor}">
      ${text}</text>` : m`<text class="${cls}" x="${w.x}" y="${w.y}" text-anchor="${w.anchor}">${text}</text>`;
}

export function plan(v: SetupView, p: Place, look: PlanLook, labels: PlanLabels): Markup {
  const X = (x: number) => dot(px(p, x)), Y = (y: number) => dot(py(p, y));
  const room = v.room.outline.length ? poly(v.room.outline.map((c) => [px(p, c[0]), py(p, c[1])])) : "";
  const objects = v.objects.filter((o) => o.foot.length > 2)
    .map((o) => m`<path class="thing" d="${poly(o.foot.map((c) => [px(p, c[0]), py(p, c[1])]))}">
      <title>${o.name}</title></path>${(o.treads ?? []).map((t) => m`<path class="tread" d="${poly(t.foot.map((c) =>
        [px(p, c[0]), py(p, c[1])]))}"/>`)}`);
  // Where the sun lies on the floor, cut to the room.
  const patches = (v.hours?.patches ?? []).filter((o) => o.floor.length > 2).map((o) =>
    m`<path class="sunlies" clip-path="url(#room)" d="${poly(o.floor.map((c) => [px(p, c[0]), py(p, c[1])]))}">
      <title>the sun through ${o.window}, on the floor</title></path>`);
  const lines = v.room.practicals.map((q) => {
    const l = v.lights.find((x) => x.path === q.path || x.name === q.name);
    return q.line.length > 1
      ? m`<path class="above" d="M${q.line.map((c) => `${X(c[0])} ${Y(c[1])}`).join("L")}" ${q.off || !l ? ""
        : m`stroke="${look.colour(l)}"`}/>` : q.line[0]
      ? m`<circle class="above" cx="${X(q.line[0][0])}" cy="${Y(q.line[0][1])}" r="4"/>` : "";
  });
  const overhead = (v.room.ceilings ?? []).map((z) =>
    m`<path class="overhead" d="${poly(z.outline.map((c) => [px(p, c[0]), py(p, c[1])]))}">
      <title>${z.name || "ceiling"} at ${lengthText(z.height, look.feet)}</title></path>`);
  return m`<g class="plan-g">${group("p-things", objects)}${group("p-sun", patches)}${group("p-under",
    look.under)}${group("p-above", overhead, lines)}${group("p-camera", camera(v, p, look))}${panels(v, p, look, labels)
    .map(kept)}${v.lights.map((l) => light(l, p, look, labels))}${kept(sitter(v, p, look))}${points(v, p, look,
      labels).map(kept)}
${group("p-walls", room ? m`<path class="cut" d="${room}"/>` : "", openings(v, p, look), outlets(v, p))}${group(
  "p-dims", dims(v, p, look))}${group("p-aims", aims(v, look, "plan", (c) => [px(p, c[0] ?? 0),
    py(p, c[1] ?? 0)]))}</g>`;
}

function openings(v: SetupView, p: Place, look: PlanLook): Markup {
  const two = (c: readonly (readonly number[])[]) =>
    [c[0], c[1]].map((q) => `${dot(px(p, q?.[0] ?? 0))} ${dot(py(p, q?.[1] ?? 0))}`);
  const wins = v.room.windows.filter((w) => w.wall > 0).map((w) => {
    const [a, b] = two(w.corners);
    const l = v.lights.find((x) => x.name === w.name);
    return m`<path class="gapcut" d="M${a}L${b}"/><path class="glass" d="M${a}L${b}" ${l && !l.off
      ? m`stroke="${look.colour(l)}"` : ""}/>`;
  });
  const doors = v.room.doors.map((d) => {
    const [a, b] = [d.corners[0] ?? [0, 0], d.corners[1] ?? [0, 0]];
    const [h, e] = d.hinge === "end" ? [b, a] : [a, b];
    const ux = (e[0] ?? 0) - (h[0] ?? 0), uy = (e[1] ?? 0) - (h[1] ?? 0), out = d.swing === "out" ? -1 : 1;
    const tip = [(h[0] ?? 0) - uy * out, (h[1] ?? 0) + ux * out];
    const r = dot(Math.hypot(ux, uy) * p.s);
    return m`<path class="gapcut" d="M${two(d.corners).join("L")}"/>
      <path class="thing0" d="M${dot(px(p, h[0] ?? 0))} ${dot(py(p, h[1] ?? 0))}L${dot(px(p, tip[0] ?? 0))} ${dot(
        py(p, tip[1] ?? 0))}A${r} ${r} 0 0 ${out > 0 ? 1 : 0} ${dot(px(p, e[0] ?? 0))} ${dot(py(p, e[1] ?? 0))}"/>`;
  });
  return m`${wins}${doors}`;
}

function outlets(v: SetupView, p: Place): Markup[] {
  return v.room.circuits.flatMap((c) =>
    c.outlets.map((o) => m`<circle class="outlet" cx="${dot(px(p, o[0]))}" cy="${dot(py(p, o[1]))}" r="3.5">
      <title>${c.name}</title></circle>`));
}

function sitter(v: SetupView, p: Place, look: PlanLook): Markup {
  const s = v.sitter;
  if (!s) return m``;
  const at = anchorOf(look, s.path, s.at), f = s.faces, c = s.chest;
  const turn = (u: readonly number[]) => dot((-Math.atan2(u[1] ?? 0, u[0] ?? 1) * 180) / Math.PI);
  return m`<g class="person${look.thing === s.path ? " sel" : ""}" data-drag="sitter" data-path="${s.path}"
    data-key="plan-sitter" role="button" tabindex="0" aria-label="Sitter at ${metres(at[0] ?? 0)}, ${metres(at[1] ??
      0)} metres" transform="translate(${dot(px(p, at[0] ?? 0))} ${dot(py(p, at[1] ?? 0))})">
    <circle class="hit0" r="22"/><ellipse class="body" rx="${dot(0.14 * p.s)}" ry="${dot(0.24 * p.s)}"
    transform="rotate(${turn(c)})"/><circle r="${dot(0.085 * p.s)}"/>
    <path d="M${dot(0.085 * p.s)} 0H${dot(0.17 * p.s)}" transform="rotate(${turn(f)})"/></g>`;
}

function camera(v: SetupView, p: Place, look: PlanLook): Markup {
  const c = v.camera;
  if (!c) return m``;
  const at = anchorOf(look, c.path, c.at), a = Math.atan2(c.axis[1], c.axis[0]),
    half = Math.atan(c.sensor_width / 2 / c.image);
  const ray = (t: number, d: number) =>
    `${dot(px(p, (at[0] ?? 0) + Math.cos(t) * d))} ${dot(py(p, (at[1] ?? 0) + Math.sin(t) * d))}`;
  const reach = 12, band = bandFromAbove(c, at).map((q): [number, number] => [px(p, q[0]), py(p, q[1])]);
  return m`<g clip-path="url(#room)">
    <path class="view" d="M${ray(a + half, 0)}L${ray(a + half, reach)}M${ray(a - half, 0)}L${ray(a - half, reach)}"/>
    <path class="dof" data-focus="${c.focus.toFixed(3)}" data-near="${c.near.toFixed(3)}" data-far="${c.far === null
      ? "" : c.far.toFixed(3)}" d="${poly(band)}"/></g>${look.thing === c.path || look.moved?.path === c.path
      ? m`<text class="lab dofl" x="${dot((band[1]?.[0] ?? 0) + 3)}"
        y="${dot((band[1]?.[1] ?? 0) - 4)}">sharp ${lengthText(c.near, look.feet)}–${c.far === null ? "horizon"
          : lengthText(c.far, look.feet)}</text>` : ""}<g class="cam-g${look.thing === c.path ? " sel" : ""}"
    data-drag="camera" data-path="${c.path}" data-key="plan-camera" role="button" tabindex="0" aria-label="Camera"
    transform="translate(${dot(px(p, at[0] ?? 0))} ${dot(py(p, at[1] ?? 0))}) rotate(${dot((-a * 180) / Math.PI)})">
    <circle class="hit0" r="22"/><rect class="solid" x="${dot(-0.11 * p.s)}" y="${dot(-0.075 * p.s)}"
    width="${dot(0.11 * p.s)}" height="${dot(0.15 * p.s)}"/><rect class="hollow" x="0" y="${dot(-0.05 * p.s)}"
    width="${dot(0.13 * p.s)}" height="${dot(0.1 * p.s)}"/></g>`;
}

/** The aim of what is selected, a cross to take hold of: over everything else, since it often lies on the sitter. */
export function aims(v: SetupView, look: PlanLook, view: "plan" | "section",
  to: (c: readonly number[]) => [number, number]): Markup {
  const l = v.lights.find((x) => x.path === look.light && x.aim && !x.house),
    q = v.panels.find((x) => x.path === look.thing), c = v.camera?.path === look.thing ? v.camera : null,
    t = l ?? q ?? c;
  if (!t?.aim) return m``;
  const [x, y] = to(anchorOf(look, `${t.path}.aim`, t.aim)).map(dot) as [number, number],
    [ax, ay] = to(anchorOf(look, t.path, t.at ?? t.aim)).map(dot) as [number, number];
  const name = l ? l.name : q ? q.name : "the camera", cross = `M${x - 6} ${y}h12M${x} ${y - 6}v12`;
  return m`<g class="aimpt" data-drag="aim" ${view === "section" ? m`data-view="section"` : ""} data-path="${t.path}"
    data-key="${view}-aim" ${view === "plan" ? m`role="button" tabindex="0" aria-label="Aim of ${name}"` : ""}>
    ${q ? m`<path class="guide" d="M${ax} ${ay}L${x} ${y}"/>` : ""}<circle class="hit0" cx="${x}" cy="${y}" r="20"/>
    ${l ? m`<path d="${cross}" stroke="${look.colour(l)}"/>` : m`<path class="aimx" d="${cross}"/>`}</g>`;
}

function panels(v: SetupView, p: Place, look: PlanLook, labels: PlanLabels): Markup[] {
  return v.panels.map((q) => {
    const at = anchorOf(look, q.path, q.at), move = [0, 1, 2].map((i) => (at[i] ?? 0) - (q.at[i] ?? 0));
    const pts = faceOf(q).map((c): [number, number] => [px(p, c[0] + (move[0] ?? 0)), py(p, c[1] + (move[1] ?? 0))]);
    const fill = q.kind === "flag" || q.face === "black" || q.kind === "black" ? "dense" : q.kind === "silk"
      ? "dots" : "white";
    return m`<g class="panel p-${fill}${look.thing === q.path ? " sel" : ""}" data-drag="panel" data-path="${q.path}"
      data-key="${q.path}"><circle class="hit0" data-drag="panel" data-path="${q.path}" role="button" tabindex="0"
      aria-label="${q.kind} ${q.name}" cx="${dot(px(p, at[0] ?? 0))}" cy="${dot(py(p, at[1] ?? 0))}" r="20"/>
      <path d="${poly(hull(pts))}"/>
      ${word(labels, `panel ${q.path}`, "lab", `${q.name} ${lengthText(q.width, look.feet)}`)}${word(labels,
        `fault ${q.path}`, "fault", look.faults.get(q.path) ?? "")}</g>`;
  });
}

export function bodyPath(b: BodyView, move: readonly number[],
  project: (c: readonly [number, number, number]) => [number, number]): string {
  const shift = (c: readonly number[]): [number, number, number] => [(c[0] ?? 0) + (move[0] ?? 0),
    (c[1] ?? 0) + (move[1] ?? 0), (c[2] ?? 0) + (move[2] ?? 0)];
  const pts = faceOf(b).map((c) => project(shift(c)));
  if (b.depth > 0.02) {
    const small = faceOf({ ...b,
      at: [0, 1, 2].map((i) => (b.at[i] ?? 0) - (b.normal[i] ?? 0) * b.depth) as unknown as [number, number, number],
      width: Math.min(b.width, 0.14), height: Math.min(b.height, 0.14) });
    pts.push(...small.map((c) => project(shift(c))));
  }
  return poly(hull(pts));
}

function light(l: LightView, p: Place, look: PlanLook, labels: PlanLabels): Markup {
  if (!l.at || l.house) return m``;
  const at = anchorOf(look, l.path, l.at), move = [0, 1, 2].map((i) => (at[i] ?? 0) - (l.at?.[i] ?? 0)),
    c = look.colour(l), sel = look.light === l.path;
  const x = dot(px(p, at[0] ?? 0)), y = dot(py(p, at[1] ?? 0));
  const aim = l.aim && (look.moved?.path === `${l.path}.aim` ? look.moved.at : l.aim);
  const ex = aim ? dot(px(p, aim[0])) : x, ey = aim ? dot(py(p, aim[1])) : y;
  const dist = aim ? Math.hypot(aim[0] - (at[0] ?? 0), aim[1] - (at[1] ?? 0), aim[2] - (at[2] ?? 0)) : 0;
  const fault = look.faults.get(l.path), quiet = look.light && !sel;
  return kept(m`<g class="light${sel ? " sel" : ""}${l.off ? " off" : ""}" data-drag="light" data-path="${l.path}"
    data-key="${l.path}" opacity="${quiet ? 0.62 : 1}"><circle class="hit0" data-drag="light" data-path="${l.path}"
    role="button" tabindex="0" aria-label="${l.name}: ${metres(at[0] ?? 0)}, ${metres(at[1] ?? 0)}, height ${metres(
      at[2] ?? 0)} metres" cx="${x}" cy="${y}" r="22"/><circle class="stand" cx="${x}" cy="${y}"
    r="${dot(0.42 * p.s)}"/>
${aim ? m`<path class="aimline" d="M${x} ${y}L${ex} ${ey}" stroke="${c}"/>
  ${word(labels, `far ${l.path}`, "dist", lengthText(dist, look.feet))}` : ""}
${l.bodies.map((b) => m`<path class="lbody" d="${bodyPath(b, move, (q) => [px(p, q[0]), py(p, q[1])])}" fill="${c}"
  stroke="${c}"/>`)}
${word(labels, `name ${l.path}`, "nm", wholeName(l))}${fault
    ? word(labels, `fault ${l.path}`, "fault", fault) : ""}</g>`);
}

function points(v: SetupView, p: Place, look: PlanLook, labels: PlanLabels): Markup[] {
  return v.points.map((q, i) => {
    const at = anchorOf(look, q.path || `point${i}`, q.at), x = dot(px(p, at[0] ?? 0)), y = dot(py(p, at[1] ?? 0)),
      n = look.numbers[i] ?? i + 1;
    const hold = q.path ? m`data-drag="point" data-path="${q.path}"` : m`aria-hidden="true"`,
      cls = i === look.point ? " sel" : q.path ? "" : " body";
    const hit = q.path ? m`data-drag="point" data-path="${q.path}" data-n="${i}" role="button" tabindex="0"
      aria-label="Point ${n}: ${q.name}"` : "";
    const words = labels.at.has(`point ${i}`) ? word(labels, `point ${i}`, "", String(n))
      : m`<text x="${x + 6}" y="${y - 5}">${n}</text>`;
    return m`<g class="pt${cls}" ${hold} data-n="${i}" data-pt="${i}" data-key="pt${i}">
      ${q.path ? m`<circle class="hit0" ${hit} cx="${x}" cy="${y}" r="16"/>` : ""}
<path d="M${x - 4} ${y}h8M${x} ${y - 4}v8"/>
  ${words}${word(labels, `fault ${q.path}`, "fault", q.path ? look.faults.get(q.path) ?? "" : "")}</g>`;
  });
}

function dims(v: SetupView, p: Place, look: PlanLook): Markup {
  if (v.room.outline.length === 0) return m``;
  const [x0, y0] = p.lo, [x1, y1] = p.hi, top = py(p, y1) - 17, foot = py(p, y0) + 15;
  const marks = [x0, ...[v.sitter && anchorOf(look, v.sitter.path, v.sitter.at)[0],
    v.camera && anchorOf(look, v.camera.path, v.camera.at)[0]].filter((x): x is number => typeof x === "number" &&
      x > x0 && x < x1), x1].sort((a, b) => a - b);
  return m`${dimension(px(p, x0), top, px(p, x1), top, lengthText(x1 - x0, look.feet))}${dimension(px(p, x0) - 17,
    py(p, y0), px(p, x0) - 17, py(p, y1), lengthText(y1 - y0, look.feet))}
${marks.slice(0, -1).map((x, i) => {
  const b = marks[i + 1] ?? x, text = lengthText(b - x, look.feet);
  return px(p, b) - px(p, x) < widthOf(text, 11) + 6 ? "" : dimension(px(p, x), foot, px(p, b), foot, text, true);
})}${marks.slice(1, -1).map((x) =>
  m`<path class="ext" d="M${dot(px(p, x))} ${dot(py(p, y0) + 4)}V${dot(foot + 4)}"/>`)}`;
}
