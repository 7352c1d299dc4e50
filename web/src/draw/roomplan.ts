// The place alone from above, to be changed: corners, walls, openings, things, all to be taken hold of.
import { wallLength } from "../model/room.ts";
import type { SetupView } from "../model/wire.ts";
import type { Shift } from "../state/edit.ts";
import { length, type Units } from "../units/measures.ts";
import { m, type Markup } from "../units/markup.ts";
import { dot, poly } from "./place.ts";

type P = readonly [number, number];

export interface RoomScale {
  s: number;
  x0: number;
  y0: number;
}

export function roomScale(v: SetupView, w: number, h: number): RoomScale {
  const pts: P[] = v.room.outline.length ? v.room.outline : v.objects.flatMap((o) => o.foot);
  const xs = pts.map((c) => c[0]), ys = pts.map((c) => c[1]);
  const lo = [Math.min(0, ...xs), Math.min(0, ...ys)], hi = [Math.max(1, ...xs), Math.max(1, ...ys)];
  const dx = (hi[0] ?? 1) - (lo[0] ?? 0), dy = (hi[1] ?? 1) - (lo[1] ?? 0), pad = 72;
  const s = Math.max(8, Math.min((w - 2 * pad) / dx, (h - 2 * pad) / dy));
  return { s, x0: (w - dx * s) / 2 - (lo[0] ?? 0) * s, y0: (h + dy * s) / 2 + (lo[1] ?? 0) * s };
}

export function roomPlan(v: SetupView, k: RoomScale, u: Units, shift: Shift | null, chosen: string): Markup {
  const X = (x: number): number => dot(k.x0 + x * k.s), Y = (y: number): number => dot(k.y0 - y * k.s);
  const at = (path: string): P => (shift && shift.path === path && !shift.outline ? [shift.dx, shift.dy] : [0, 0]);
  const on = (path: string): string => (chosen === path || chosen.startsWith(`${path}.`) ? " sel" : "");
  const outline = shift?.outline ?? v.room.outline.map((c): [number, number] => [c[0], c[1]]);
  const hold = (what: string, path: string, n: number, label: string): Markup => m`data-hold="${what}" data-path="${path}" data-n="${n}" data-key="rp-${what}-${path}-${n}" role="button" tabindex="0" aria-label="${label}"`;
  const walls = outline.map((a, i) => {
    const b = outline[(i + 1) % outline.length] ?? a, l = wallLength(outline, i), mx = (a[0] + b[0]) / 2, my = (a[1] + b[1]) / 2;
    const nx = l ? (b[1] - a[1]) / l : 0, ny = l ? -(b[0] - a[0]) / l : 0;
    return m`<g class="wall${on("room.outline")}" data-key="w${i}"><path class="cut" d="M${X(a[0])} ${Y(a[1])}L${X(b[0])} ${Y(b[1])}"/><path class="hold0" ${hold("wall", "room.outline", i, `Wall ${i + 1}, ${length(l, u)}`)} d="M${X(a[0])} ${Y(a[1])}L${X(b[0])} ${Y(b[1])}"/><text class="dist" x="${dot(X(mx) + nx * 14)}" y="${dot(Y(my) - ny * 20 + 2)}" text-anchor="${nx > 0.5 ? "start" : nx < -0.5 ? "end" : "middle"}">${length(l, u)}</text><text class="lab" x="${dot(X(mx) + nx * 14)}" y="${dot(Y(my) - ny * 20 + (ny > 0.5 ? -12 : 15))}" text-anchor="${nx > 0.5 ? "start" : nx < -0.5 ? "end" : "middle"}">wall ${i + 1}</text></g>`;
  });
  const corners = outline.map((c, i) => m`<circle class="corner" data-key="c${i}" ${hold("corner", "room.outline", i, `Corner ${i + 1} at ${length(c[0], u)}, ${length(c[1], u)}`)} cx="${X(c[0])}" cy="${Y(c[1])}" r="6"/>`);
  const openings = [...v.room.windows.map((w) => ({ w, kind: "window" })), ...v.room.doors.map((w) => ({ w, kind: "door" }))].filter((o) => o.w.wall > 0).map(({ w, kind }) => {
    const a = w.corners[0] ?? [0, 0, 0], b = w.corners[1] ?? [0, 0, 0], d = at(w.path);
    return m`<g class="opening ${kind}${on(w.path)}" data-key="${w.path}"><path class="gapcut" d="M${X(a[0] + d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/><path class="glass" d="M${X(a[0] + d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/><path class="hold0" ${hold(kind, w.path, 0, `${w.name || kind}, ${length(w.width, u)} wide`)} d="M${X(a[0] + d[0])} ${Y(a[1] + d[1])}L${X(b[0] + d[0])} ${Y(b[1] + d[1])}"/><title>${w.name || kind}</title>${[a, b].map((c, i) => m`<circle class="end0" ${hold(`end${i}`, w.path, i, `${i ? "far" : "near"} side of ${w.name || kind}`)} cx="${X((c[0] ?? 0) + d[0])}" cy="${Y((c[1] ?? 0) + d[1])}" r="4.5"/>`)}</g>`;
  });
  const objects = v.objects.filter((o) => o.foot.length > 1 && o.path.startsWith("room.")).map((o) => {
    const d = at(o.path), mid = [o.foot.reduce((s, c) => s + c[0], 0) / o.foot.length, o.foot.reduce((s, c) => s + c[1], 0) / o.foot.length];
    return m`<g class="obj${on(o.path)}" data-key="${o.path}"><path class="thing" ${hold("thing", o.path, 0, `${o.name || "object"}`)} d="${poly(o.foot.map((c) => [X(c[0] + d[0]), Y(c[1] + d[1])]))}"/><text class="lab" x="${X((mid[0] ?? 0) + d[0])}" y="${Y((mid[1] ?? 0) + d[1]) + 4}" text-anchor="middle">${o.name}</text></g>`;
  });
  const lamps = v.room.practicals.map((q) => {
    const d = at(q.path), line = q.line.map((c): P => [X(c[0] + d[0]), Y(c[1] + d[1])]), first = line[0] ?? [0, 0];
    const path = line.length > 1 ? `M${line.map((c) => `${c[0]} ${c[1]}`).join("L")}` : `M${first[0] - 4} ${first[1]}h8`;
    return m`<g class="lampg${on(q.path)}" data-key="${q.path}"><path class="above" d="${path}"/><path class="hold0" ${hold("thing", q.path, 0, q.name)} d="${path}"/><text class="lab" x="${first[0]}" y="${first[1] - 8}">${q.name}</text></g>`;
  });
  const outlets = v.room.circuits.flatMap((c, i) => c.outlets.map((o, j) => { const path = `room.circuits[${i}].outlets[${j}]`, d = at(path); return m`<circle class="outlet" data-key="${path}" ${hold("spot", path, 0, `outlet of ${c.name}`)} cx="${X(o[0] + d[0])}" cy="${Y(o[1] + d[1])}" r="5"><title>outlet of ${c.name}</title></circle>`; }));
  const exits = v.room.exits.map((o, j) => { const path = `room.exits[${j}]`, d = at(path); return m`<text class="exit" data-key="${path}" ${hold("spot", path, 0, "exit")} x="${X(o[0] + d[0])}" y="${Y(o[1] + d[1])}" text-anchor="middle">exit</text>`; });
  const heads = v.room.detectors.map((o, j) => { const path = `room.detectors[${j}]`, d = at(path); return m`<g data-key="${path}"><circle class="outlet" ${hold("spot", path, 0, "smoke head")} cx="${X(o[0] + d[0])}" cy="${Y(o[1] + d[1])}" r="6"/><text class="lab" x="${X(o[0] + d[0]) + 9}" y="${Y(o[1] + d[1]) + 4}">smoke head</text></g>`; });
  return m`${objects}${lamps}${walls}${openings}${outlets}${heads}${exits}${corners}${shift?.note ? m`<text class="note" data-key="note" x="12" y="22">${shift.note}</text>` : ""}`;
}
