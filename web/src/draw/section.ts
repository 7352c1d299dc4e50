// The section: the same place from the front, heights true, at the plan's scale.
import type { SetupView } from "../model/wire.ts";
import { group, kept, m, type Markup } from "../units/markup.ts";
import { lengthText } from "../units/stops.ts";
import { bandFromSide } from "./dof.ts";
import { dimension } from "./hatch.ts";
import { aims, anchorOf, bodyPath, type PlanLook } from "./plan.ts";
import { dot, faceOf, hull, poly, pz, sx, type Place } from "./place.ts";

export function section(v: SetupView, p: Place, look: PlanLook): Markup {
  const X = (x: number) => dot(sx(p, x)), Z = (z: number) => dot(pz(p, z));
  const [x0] = p.lo, [x1] = p.hi;
  const objects = v.objects.filter((o) => o.foot.length > 2).map((o) => {
    const xs = o.foot.map((f) => f[0]), a = Math.min(...xs), b = Math.max(...xs);
    return m`<rect class="thing" x="${X(a)}" y="${Z(o.high)}" width="${dot((b - a) * p.s)}"
      height="${dot((o.high - o.low) * p.s)}"><title>${o.name}</title></rect>${(o.treads ?? []).map((t) => {
  const tx = t.foot.map((f) => f[0]), from = X(Math.min(...tx)), to = X(Math.max(...tx));
  return m`<path class="tread" d="M${from} ${Z(o.low)}V${Z(t.high)}H${to}V${Z(o.low)}"/>`;
})}`;
  });
  const base = v.room.ceiling > 0 ? v.room.ceiling : p.ceiling;
  const overhead = (v.room.ceilings ?? []).map((z) => {
    const xs = z.outline.map((c) => c[0]), a = Math.max(x0, Math.min(...xs)), b = Math.min(x1, Math.max(...xs));
    return m`<rect class="overhead" x="${X(a)}" y="${Z(Math.max(z.height, base))}" width="${dot(Math.max(0, b - a) *
      p.s)}" height="${dot(Math.abs(base - z.height) * p.s)}"><title>${z.name || "ceiling"} at ${lengthText(z.height,
      look.feet)}</title></rect>`;
  });
  const lamps = v.room.practicals.map((q) => {
    const l = v.lights.find((y) => y.name === q.name);
    return q.line.length > 1
      ? m`<path class="lamp" d="M${q.line.map((c) => `${X(c[0])} ${Z(c[2])}`).join("L")}" ${l && !q.off
        ? m`stroke="${look.colour(l)}"` : ""}/>` : "";
  });
  const windows = v.room.windows.filter((w) => w.wall > 0).map((w) => {
    const l = v.lights.find((y) => y.name === w.name),
      pts = w.corners.map((c): [number, number] => [sx(p, c[0]), pz(p, c[2])]);
    return m`<path class="glass" d="${poly(pts)}" ${l && !l.off ? m`stroke="${look.colour(l)}"` : ""}/>`;
  });
  return m`<g class="sec-g">${group("s-things", overhead, objects, windows, lamps)}${group("s-under",
    look.underSection)}${group("s-camera", camera(v, p, look))}${v.panels.map((q) => {
    const at = anchorOf(look, q.path, q.at), move = [0, 1, 2].map((i) => (at[i] ?? 0) - (q.at[i] ?? 0));
    return kept(m`<g class="panel${look.thing === q.path ? " sel" : ""} p-${q.kind === "silk" ? "dots"
      : q.kind === "flag" ? "dense" : "white"}" data-drag="panel" data-view="section" data-path="${q.path}"
      data-key="s-${q.path}"><circle class="hit0" cx="${X(at[0] ?? 0)}" cy="${Z(at[2] ?? 0)}" r="20"/>
      <path class="leg" d="M${X(at[0] ?? 0)} ${Z(0)}V${Z(at[2] ?? 0)}"/>
      <path d="${poly(hull(faceOf(q).map((c): [number, number] => [sx(p, c[0] + (move[0] ?? 0)),
        pz(p, c[2] + (move[2] ?? 0))])))}"/></g>`);
  })}${lights(v, p, look)}${kept(person(v, p, look))}${points(v, p, look).map(kept)}
${group("s-cut", v.room.outline.length
  ? m`<path class="cut" d="M${X(x0)} ${Z(0)}H${X(x1)}V${Z(base)}H${X(x0)}Z"/>
    ${dimension(sx(p, x0) - 17, pz(p, 0), sx(p, x0) - 17, pz(p, base), lengthText(base, look.feet))}`
  : m`<path class="cut" d="M${X(x0)} ${Z(0)}H${X(x1)}"/>`)}${group("s-aims", aims(v, look, "section",
  (c) => [sx(p, c[0] ?? 0), pz(p, c[2] ?? 0)]))}</g>`;
}

function lights(v: SetupView, p: Place, look: PlanLook): Markup[] {
  const X = (x: number) => dot(sx(p, x)), Z = (z: number) => dot(pz(p, z));
  return v.lights.filter((l) => l.at && !l.house).map((l) => {
    const at = anchorOf(look, l.path, l.at ?? [0, 0, 0]),
      move = [0, 1, 2].map((i) => (at[i] ?? 0) - (l.at?.[i] ?? 0)), c = look.colour(l), sel = look.light === l.path;
    const x = X(at[0] ?? 0), z = Z(at[2] ?? 0), aim = look.moved?.path === `${l.path}.aim` ? look.moved.at : l.aim;
    const show = sel || (!look.light && (l.role === "key" || l.role === "accent" || l.role === "edge" ||
      l.role === "hair")) && (at[2] ?? 0) * p.s > 34;
    const foot = Math.min(28, p.s * 0.42);
    return kept(m`<g class="light${sel ? " sel" : ""}${l.off ? " off" : ""}" data-drag="light" data-view="section"
      data-path="${l.path}" data-key="s-${l.path}" opacity="${look.light && !sel ? 0.62 : 1}">
      <circle class="hit0" cx="${x}" cy="${z}" r="22"/>
      <path class="leg" d="M${x} ${z}V${Z(l.stands + 0.35)}L${dot(x - foot)} ${Z(l.stands)}M${x} ${Z(l.stands +
        0.35)}L${dot(x + foot)} ${Z(l.stands)}"/>${aim
        ? m`<path class="aimline" d="M${x} ${z}L${X(aim[0])} ${Z(aim[2])}" stroke="${c}"/>`
        : ""}${l.bodies.map((b) => m`<path class="lbody" d="${bodyPath(b, move, (q) => [sx(p, q[0]), pz(p, q[2])])}"
          fill="${c}" stroke="${c}"/>`)}${show ? m`<path class="ext" d="M${x} ${z}h${dot(0.55 * p.s)}"/>
          ${dimension(x + 0.5 * p.s, Z(0), x + 0.5 * p.s, z, lengthText(at[2] ?? 0, look.feet))}` : ""}</g>`);
  });
}

function points(v: SetupView, p: Place, look: PlanLook): Markup[] {
  return v.points.map((q, i) => ({ q, i })).map(({ q, i }) => {
    const at = anchorOf(look, q.path || `point${i}`, q.at), x = dot(sx(p, at[0] ?? 0)), z = dot(pz(p, at[2] ?? 0));
    return m`<g class="pt${i === look.point ? " sel" : q.path ? "" : " body"}" ${q.path
      ? m`data-drag="point" data-view="section" data-path="${q.path}" data-n="${i}"` : ""} data-pt="${i}"
      data-key="s-pt${i}"><circle class="hit0" cx="${x}" cy="${z}" r="14"/>
      <path d="M${x - 4} ${z}h8M${x} ${z - 4}v8"/><text x="${x + 6}" y="${z - 4}">${look.numbers[i] ?? i + 1}
      </text></g>`;
  });
}

function camera(v: SetupView, p: Place, look: PlanLook): Markup {
  const c = v.camera;
  if (!c) return m``;
  const at = anchorOf(look, c.path, c.at), X = (x: number) => dot(sx(p, x)), Z = (z: number) => dot(pz(p, z));
  const half = Math.atan(c.sensor_height / 2 / c.image), flat = Math.hypot(c.axis[0], c.axis[1]),
    el = Math.atan2(c.axis[2], flat), way = Math.sign(c.axis[0]) || 1, k = Math.abs(c.axis[0]) / (flat || 1);
  const ray = (e: number) => `${X((at[0] ?? 0) + way * 9 * k)} ${Z((at[2] ?? 0) + Math.tan(e) * 9)}`;
  const x = X(at[0] ?? 0), z = Z(at[2] ?? 0), foot = Math.min(28, p.s * 0.42),
    right = Math.min(sx(p, p.hi[0]) + 18, x + 0.55 * p.s);
  return m`<g clip-path="url(#sec)"><path class="view" d="M${x} ${z}L${ray(el + half)}M${x} ${z}L${ray(el - half)}"/>
    <path class="dof" d="${poly(bandFromSide(c, at).map((q): [number, number] => [sx(p, q[0]), pz(p, q[2])]))}"/></g>
    <g class="cam-g${look.thing === c.path ? " sel" : ""}" data-drag="camera" data-view="section"
    data-path="${c.path}" data-key="sec-camera"><circle class="hit0" cx="${x}" cy="${z}" r="20"/>
    <path class="leg" d="M${x} ${z}V${Z(0.5)}M${x} ${Z(0.5)}L${dot(x - foot)} ${Z(0)}M${x} ${Z(0.5)}L${dot(x +
      foot)} ${Z(0)}"/><rect class="solid" x="${dot(x - 0.12 * p.s)}" y="${dot(z - 0.06 * p.s)}"
    width="${dot(0.24 * p.s)}" height="${dot(0.12 * p.s)}"/></g>
    ${dimension(right, Z(0), right, z, lengthText(at[2] ?? 0, look.feet))}`;
}

function person(v: SetupView, p: Place, look: PlanLook): Markup {
  const s = v.sitter;
  if (!s) return m``;
  const at = anchorOf(look, s.path, s.at), x = sx(p, at[0] ?? 0),
    face = s.landmarks.face ?? [s.at[0], s.at[1], s.high[2] - 0.12], dx = face[0] - s.at[0];
  const head = 0.11 * p.s, hx = x + dx * p.s * 0.6, hz = pz(p, face[2]), sh = pz(p, face[2] - 0.25),
    base = pz(p, Math.max(0, s.low[2]));
  const seated = s.pose === "seated", w = 0.17 * p.s, hip = pz(p, Math.max(s.low[2], face[2] * 0.5));
  const body = seated
    ? m`<path d="${poly(hull([[sx(p, s.low[0] + (at[0] ?? 0) - s.at[0]), base],
      [sx(p, s.high[0] + (at[0] ?? 0) - s.at[0]), base], [hx + w, sh], [hx - w, sh],
      [sx(p, s.high[0] + (at[0] ?? 0) - s.at[0]), hip]]))}"/>`
    : m`<path d="M${dot(x - w * 0.6)} ${dot(base)}L${dot(x - w * 0.78)} ${dot(hip)}Q${dot(hx - w)} ${dot(sh +
      12)} ${dot(hx - w * 0.62)} ${dot(sh)}H${dot(hx + w * 0.62)}Q${dot(hx + w)} ${dot(sh + 12)} ${dot(x +
      w * 0.78)} ${dot(hip)}L${dot(x + w * 0.6)} ${dot(base)}Z"/>`;
  return m`<g class="person" data-drag="sitter" data-view="section" data-path="${s.path}" data-key="sec-sitter">
    <rect class="hit0" x="${dot(x - 20)}" y="${dot(hz - head)}" width="40" height="${dot(base - hz + head)}"/>${body}
    <ellipse cx="${dot(hx)}" cy="${dot(hz)}" rx="${dot(head * 0.85)}" ry="${dot(head * 1.15)}"/></g>`;
}
