// The place alone from above, to be changed: corners, walls, openings, things, all to be taken hold of.
import { squared, wallLength } from "../model/room.ts";
import { openingAt, thingAt } from "../actions/placing.ts";
import type { SetupView } from "../model/wire.ts";
import type { EditPart, Shift } from "../state/edit.ts";
import { length, type Units } from "../units/measures.ts";
import { m, type Markup } from "../units/markup.ts";
import { around, boxOf, Labels, widthOf, type Offer } from "./labels.ts";
import { dot, faceOf, hull, poly } from "./place.ts";

type P = readonly [number, number];

export interface RoomScale {
  s: number;
  x0: number;
  y0: number;
  w: number;
  h: number;
}

export function roomScale(v: SetupView, w: number, h: number): RoomScale {
  const pts: P[] = v.room.outline.length ? v.room.outline
    : [...v.objects.flatMap((o) => o.foot), ...setupThings(v).flatMap((t) => [t.at, ...t.foot])];
  const xs = pts.map((c) => c[0]), ys = pts.map((c) => c[1]);
  const lo = [Math.min(0, ...xs), Math.min(0, ...ys)], hi = [Math.max(1, ...xs), Math.max(1, ...ys)];
  const dx = (hi[0] ?? 1) - (lo[0] ?? 0), dy = (hi[1] ?? 1) - (lo[1] ?? 0), pad = w < 480 ? 58 : 72;
  const s = Math.max(8, Math.min((w - 2 * pad) / dx, (h - 2 * pad) / dy));
  return { w, h, s, x0: (w - dx * s) / 2 - (lo[0] ?? 0) * s, y0: (h + dy * s) / 2 + (lo[1] ?? 0) * s };
}

/** The scale of the page's plan: while walls are drawn there is room for twelve by nine metres. */
export function scaleOf(p: Pick<EditPart, "sketch">, view: SetupView, w: number, h: number): RoomScale {
  if (!p.sketch) return roomScale(view, w, h);
  const xs = [12, ...view.room.outline.map((c) => c[0])], ys = [9, ...view.room.outline.map((c) => c[1])],
    x = Math.max(...xs), y = Math.max(...ys);
  const s = Math.max(8, Math.min((w - 60) / x, (h - 60) / y));
  return { w, h, s, x0: (w - x * s) / 2, y0: (h + y * s) / 2 };
}

/** What of the place is drawn, and how. */
export interface RoomLook {
  units: Units;
  shift: Shift | null;
  /** Path of what the form shows. */
  chosen: string;
  /** Why something cannot be where it is, by path. */
  faults: Map<string, string>;
  /** Camera, sitter, lights and panels as well: a part of this setup is being edited. */
  setup: boolean;
}

export function roomPlan(v: SetupView, k: RoomScale, look: RoomLook): Markup {
  const { units: u, shift, chosen } = look, X = (x: number): number => dot(k.x0 + x * k.s),
    Y = (y: number): number => dot(k.y0 - y * k.s);
  const at = (path: string): P => (shift && shift.path === path && !shift.outline ? [shift.dx, shift.dy] : [0, 0]);
  const on = (path: string): string =>
    `${chosen === path || chosen.startsWith(`${path}.`) ? " sel" : ""}${look.faults.has(path) ? " bad" : ""}`;
  const outline = shift?.outline ?? v.room.outline.map((c): [number, number] => [c[0], c[1]]);
  const hold = (what: string, path: string, n: number, label: string): Markup =>
    m`data-hold="${what}" data-path="${path}" data-n="${n}" data-key="rp-${what}-${path}-${n}" role="button"
      tabindex="0" aria-label="${label}${look.faults.has(path) ? `, ${look.faults.get(path)}` : ""}"`;
  const labels = new Labels({ x: 4, y: 4, w: k.w - 8, h: k.h - 8 }),
    text = (o: Offer, cls: string, t: string) => m`<text class="${cls}" x="${dot(o.x)}" y="${dot(o.y)}"
      text-anchor="${o.anchor}">${t}</text>`;
  const name = (path: string, t: string, offers: Offer[], cls = "lab", size = 11): Markup => {
    const why = look.faults.get(path), o = t ? labels.put(widthOf(t, size), size, offers) : offers[0];
    if (!o) return m``;
    const below = why ? labels.put(widthOf(why, 11, true), 11, [{ ...o, y: o.y + 13 }, { ...o, y: o.y - 13 },
      ...offers]) : null;
    return m`${t ? text(o, cls, t) : ""}${below ? text(below, "fault", why ?? "") : ""}`;
  };
  outline.forEach((c, i) => {
    labels.keepAround(X(c[0]), Y(c[1]), 8);
    // The wall itself, in short pieces.
    const b = outline[(i + 1) % outline.length] ?? c,
      n = Math.ceil(Math.hypot(X(b[0]) - X(c[0]), Y(b[1]) - Y(c[1])) / 8);
    for (let j = 1; j < n; j++) labels.keepAround(X(c[0] + ((b[0] - c[0]) * j) / n),
        Y(c[1] + ((b[1] - c[1]) * j) / n), 3);
  });
  const walls = outline.map((a, i) => {
    const b = outline[(i + 1) % outline.length] ?? a, l = wallLength(outline, i), mx = (a[0] + b[0]) / 2,
      my = (a[1] + b[1]) / 2;
    const nx = l ? (b[1] - a[1]) / l : 0, ny = l ? -(b[0] - a[0]) / l : 0, anchor = nx > 0.5 ? "start" as const
      : nx < -0.5 ? "end" as const : "middle" as const;
    const far: Offer = { x: X(mx) + nx * 14, y: Y(my) - ny * 20 + 2, anchor },
      called: Offer = { ...far, y: far.y + (ny > 0.5 ? -14 : 13) };
    labels.keep(boxOf(far, widthOf(length(l, u), 12), 12));
    labels.keep(boxOf(called, widthOf(`wall ${i + 1}`, 11), 11));
    return m`<g class="wall${on("room.outline")}" data-key="w${i}">
      <path class="cut" d="M${X(a[0])} ${Y(a[1])}L${X(b[0])} ${Y(b[1])}"/>
      <path class="hold0" ${hold("wall", "room.outline", i, `Wall ${i + 1}, ${length(l, u)}`)} d="M${X(a[0])} ${Y(
        a[1])}L${X(b[0])} ${Y(b[1])}"/>${text(far, "dist", length(l, u))}${text(called, "lab", `wall ${i + 1}`)}</g>`;
  });
  const corners = outline.map((c, i) =>
    m`<circle class="corner" data-key="c${i}" ${hold("corner", "room.outline", i,
      `Corner ${i + 1} at ${length(c[0], u)}, ${length(c[1], u)}`)} cx="${X(c[0])}" cy="${Y(c[1])}" r="6"/>`);
  // What stands there is kept clear first, then named.
  const spots = [...v.room.circuits.flatMap((c, i) =>
    c.outlets.map((o, j) => ({ o, path: `room.circuits[${i}].outlets[${j}]` }))),
    ...v.room.detectors.map((o, j) => ({ o, path: `room.detectors[${j}]` }))];
  for (const { o, path } of spots) labels.keepAround(X((o[0] ?? 0) + at(path)[0]), Y((o[1] ?? 0) + at(path)[1]), 6);
  const things = look.setup ? setupThings(v) : [];
  for (const t of things) labels.keepAround(X(t.at[0] + at(t.path)[0]), Y(t.at[1] + at(t.path)[1]), 8);
  const openings = [...v.room.windows.map((w) => ({ w, kind: "window" })),
    ...v.room.doors.map((w) => ({ w, kind: "door" }))].filter((o) => o.w.wall > 0).map(({ w, kind }) => {
    const a = w.corners[0] ?? [0, 0, 0], b = w.corners[1] ?? [0, 0, 0], d = at(w.path),
      mid: P = [X((a[0] + b[0]) / 2 + d[0]), Y((a[1] + b[1]) / 2 + d[1])];
    return m`<g class="opening ${kind}${on(w.path)}" data-key="${w.path}">
      <path class="gapcut" d="M${X(a[0] + d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/>
      <path class="glass" d="M${X(a[0] + d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/>
      <path class="hold0" ${hold(kind, w.path, 0, `${w.name || kind}, ${length(w.width, u)} wide`)} d="M${X(a[0] +
        d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/><title>${w.name || kind}</title>
      ${[a, b].map((c, i) => m`
        <circle class="end0" ${hold(`end${i}`, w.path, i, `${i ? "far" : "near"} side of ${w.name || kind}`)} cx="${X(
          (c[0] ?? 0) + d[0])}" cy="${Y((c[1] ?? 0) + d[1])}" r="4.5"/>`)}${look.faults.has(w.path)
        ? name(w.path, "", around(mid[0], mid[1], 10, 0, 1)) : ""}</g>`;
  });
  const objects = v.objects.filter((o) => o.foot.length > 1 && (o.path.startsWith("room.") || look.setup)).map((o) => {
    const d = at(o.path), mid: P = [X(o.foot.reduce((s, c) => s + c[0], 0) / o.foot.length + d[0]),
      Y(o.foot.reduce((s, c) => s + c[1], 0) / o.foot.length + d[1])];
    const high = Math.max(...o.foot.map((c) => Math.abs(Y(c[1] + d[1]) - mid[1]))),
      wide = Math.max(...o.foot.map((c) => Math.abs(X(c[0] + d[0]) - mid[0])));
    return m`<g class="obj${on(o.path)}" data-key="${o.path}">
      <path class="thing" ${hold("thing", o.path, 0, `${o.name || "object"}`)} d="${poly(
        o.foot.map((c) => [X(c[0] + d[0]), Y(c[1] + d[1])]))}"/>
      ${(o.treads ?? []).map((t) => m`<path class="tread" d="${poly(t.foot.map((c): P => [X(c[0] + d[0]),
        Y(c[1] + d[1])]))}"/>`)}
      ${name(o.path, Math.max(high, wide) < 8 && !on(o.path) ? "" : o.name,
        [...(widthOf(o.name, 11) < 2 * wide - 4 ? [{ x: mid[0], y: mid[1] + 4, anchor: "middle" as const }] : []),
          { x: mid[0] + wide + 5, y: mid[1] + 4, anchor: "start" }, { x: mid[0], y: mid[1] - high - 4,
            anchor: "middle" }, { x: mid[0], y: mid[1] + high + 12, anchor: "middle" },
          { x: mid[0] - wide - 5, y: mid[1] + 4, anchor: "end" }])}</g>`;
  });
  const overhead = (v.room.ceilings ?? []).map((z) => {
    const d = at(z.path), c = z.outline.map((q): P => [X(q[0] + d[0]), Y(q[1] + d[1])]),
      called = `${z.name ? `${z.name}, ` : ""}ceiling ${length(z.height, u)}`,
      top = c.reduce<P>((a, b) => (b[1] < a[1] ? b : a), c[0] ?? [0, 0]);
    return m`<g class="ovg${on(z.path)}" data-key="${z.path}"><path class="overhead" d="${poly(c)}"/>
      <path class="hold0" ${hold("thing", z.path, 0, called)} d="${poly(c)}"/>
      ${name(z.path, called, [{ x: top[0] + 6, y: top[1] + 14, anchor: "start" },
        ...around(c.reduce((s, q) => s + q[0], 0) / c.length, c.reduce((s, q) => s + q[1], 0) / c.length, 12, 0, 1)])}
      </g>`;
  });
  const lamps = v.room.practicals.map((q) => {
    const d = at(q.path), line = q.line.map((c): P => [X(c[0] + d[0]), Y(c[1] + d[1])]), first = line[0] ?? [0, 0],
      last = line[line.length - 1] ?? first;
    const path = line.length > 1 ? `M${line.map((c) => `${c[0]} ${c[1]}`).join("L")}`
      : `M${first[0] - 4} ${first[1]}h8`;
    return m`<g class="lampg${on(q.path)}" data-key="${q.path}"><path class="above" d="${path}"/>
      <path class="hold0" ${hold("thing", q.path, 0, q.name)} d="${path}"/>
      ${name(q.path, q.name, [{ x: first[0], y: first[1] - 7, anchor: "start" }, { x: first[0], y: first[1] + 15,
        anchor: "start" }, { x: last[0] + 6, y: last[1] + 4, anchor: "start" }, ...around((first[0] + last[0]) / 2,
        (first[1] + last[1]) / 2, 16, 0, -1)])}</g>`;
  });
  const dots = spots.map(({ o, path }) => {
    const x = X((o[0] ?? 0) + at(path)[0]), y = Y((o[1] ?? 0) + at(path)[1]), head = path.includes("detectors"),
      called = head ? "smoke head"
        : `outlet of ${v.room.circuits[Number(path.match(/circuits\[(\d+)/)?.[1])]?.name ?? ""}`;
    return m`<g class="${on(path)}" data-key="${path}">
      <circle class="outlet" ${hold("spot", path, 0, called)} cx="${x}" cy="${y}" r="${head ? 6 : 5}">
      <title>${called}</title></circle>${name(path, head ? "smoke head" : "", around(x, y, 9, 1, 0))}</g>`;
  });
  const exits = v.room.exits.map((o, j) => {
    const path = `room.exits[${j}]`, d = at(path), x = X(o[0] + d[0]), y = Y(o[1] + d[1]),
      mx = k.x0 + ((Math.min(...outline.map((c) => c[0])) + Math.max(...outline.map((c) => c[0]))) / 2) * k.s;
    const put = labels.put(widthOf("exit", 11), 11, around(x, y, 8, mx - x, 0)), why = look.faults.get(path);
    return m`<g class="exitg${on(path)}" data-key="${path}"><path class="exitm" d="M${x - 4} ${y - 4}l8 8m0 -8l-8 8"/>
      <text class="exit" ${hold("spot", path, 0, "exit")} x="${dot(put.x)}" y="${dot(put.y)}"
      text-anchor="${put.anchor}">exit</text>${why ? name(path, "", around(x, y, 20, mx - x, 1)) : ""}</g>`;
  });
  const setup = things.map((t) => {
    const d = at(t.path), x = X(t.at[0] + d[0]), y = Y(t.at[1] + d[1]),
      body = t.foot.map((c): [number, number] => [X(c[0] + d[0]), Y(c[1] + d[1])]);
    return m`<g class="sett${on(t.path)}" data-key="${t.path}">
      ${body.length > 2 ? m`<path class="body" d="${poly(hull(body))}"/>` : ""}
      <circle class="thing" ${hold("thing", t.path, 0, t.name)} cx="${x}" cy="${y}" r="9"/>
      ${name(t.path, t.name, around(x, y, 11, 1, 0), "nm", 11.5)}</g>`;
  });
  // Of another part's plan the setup is only where it stands, so that nothing is put on it.
  const quiet = look.setup ? [] : setupThings(v).map((t) => {
    const x = X(t.at[0]), y = Y(t.at[1]), put = labels.put(widthOf(t.name, 11), 11, around(x, y, 7, 1, 0));
    return m`<g class="stands" data-key="st-${t.path}"><circle cx="${x}" cy="${y}" r="3.5"/>
      ${text(put, "lab", t.name)}</g>`;
  });
  return m`${quiet}${overhead}${objects}${lamps}${walls}${openings}${dots}${exits}${corners}${setup}${shift?.note
    ? m`<text class="note" data-key="note" x="12" y="22">${shift.note}</text>` : ""}`;
}

/** What a setup puts into the place. */
function setupThings(v: SetupView): { path: string; name: string; at: P; foot: P[] }[] {
  const flat = (c: readonly number[]): P => [c[0] ?? 0, c[1] ?? 0];
  return [
    ...v.lights.filter((l) => l.at && !l.house)
      .map((l) => ({ path: l.path, name: l.called, at: flat(l.at ?? []),
        foot: l.bodies.flatMap(faceOf).map(flat) })),
    ...v.panels.map((q) => ({ path: q.path, name: q.name, at: flat(q.at), foot: faceOf(q).map(flat) })),
    ...(v.camera ? [{ path: v.camera.path, name: "camera", at: flat(v.camera.at), foot: [] }] : []),
    ...(v.sitter ? [{ path: v.sitter.path, name: "sitter", at: flat(v.sitter.at), foot: [] }] : []),
  ];
}

/**
 * What is being put into the plan, under the hand: walls as far as they are
 * drawn, an opening in its wall, a thing where it would stand.
 */
export function placingDrawing(p: Pick<EditPart, "sketch" | "ghost" | "placing" | "place" | "units">,
  o: readonly P[], k: RoomScale): Markup {
  const X = (x: number): number => dot(k.x0 + x * k.s), Y = (y: number): number => dot(k.y0 - y * k.s), g = p.ghost;
  if (p.sketch) {
    const s = p.sketch, to = g && s.length ? squared(s, g) : null, all = to ? [...s, to] : s, last = s[s.length - 1];
    const lines = all.map((c, i) => `${i ? "L" : "M"}${X(c[0])} ${Y(c[1])}`).join(""), first = s[0];
    const says = s.map((c, i) => {
      const b = s[i + 1];
      return b ? m`<text class="dist" x="${X((c[0] + b[0]) / 2)}" y="${Y((c[1] + b[1]) / 2) - 5}"
        text-anchor="middle">${length(Math.hypot(b[0] - c[0], b[1] - c[1]), p.units)}</text>` : "";
    });
    const now = to && last ? m`<text class="note" x="${X(to[0]) + 12}" y="${Y(to[1]) - 8}">
      ${length(Math.hypot(to[0] - last[0], to[1] - last[1]), p.units)}</text>` : "";
    return m`<g class="sketch" data-key="sketch"><path class="cut" d="${lines}"/>
      ${s.map((c) => m`<circle class="corner" cx="${X(c[0])}" cy="${Y(c[1])}" r="5"/>`)}${first && s.length > 2
        ? m`<circle class="corner" cx="${X(first[0])}" cy="${Y(first[1])}" r="9"/>` : ""}${says}${now}</g>`;
  }
  if (!g) return m``;
  if (p.placing === "window" || p.placing === "door") {
    const w = openingAt(o, p.placing, g, 1), a = w && o[w.wall - 1], b = w && o[w.wall % o.length];
    if (!w || !a || !b) return m``;
    const l = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1,
      at = (t: number): string => `${X(a[0] + ((b[0] - a[0]) * t) / l)} ${Y(a[1] + ((b[1] - a[1]) * t) / l)}`;
    return m`<path class="ghostopen" data-key="ghost" d="M${at(w.from)}L${at(w.from + w.width)}"/>
      <text class="note" data-key="ghostn" x="12" y="22">
      ${p.placing}, ${length(w.width, p.units)} wide, ${length(w.from, p.units)} from corner ${w.wall}</text>`;
  }
  const t = p.place?.things.find((x) => `thing:${x.kind}` === p.placing);
  if (!t) return m``;
  const q = thingAt(o, t.size, g);
  return m`<path class="ghost" data-key="ghost" d="M${X(q.x)} ${Y(q.y)}H${X(q.x + q.w)}V${Y(q.y + q.d)}H${X(q.x)}Z"/>
    <text class="note" data-key="ghostn" x="12" y="22">
    ${t.kind}, ${length(q.w, p.units)} × ${length(q.d, p.units)}</text>`;
}
