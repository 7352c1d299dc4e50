// A room of one's own without writing: walls drawn, openings and
// furniture put where they stand, surfaces picked by name.
import type { Edit, PlaceView, SetupView, TreeNode } from "../model/wire.ts";
import { area, nearestWall, squared } from "../model/room.ts";
import { entries, find, freeName, join } from "../model/tree.ts";
import { ask } from "../state/wire.ts";
import { plain } from "../units/stops.ts";
import { addEdits, outlineEdits } from "./forms.ts";
import type { Desk } from "./desk.ts";

type P = readonly [number, number];

/** Openings as they are usually built, metres. From memory: doors of rooms are 0.8 to 0.9 wide and 2.0 to 2.1 high. */
export const openings = { window: { width: 1.2, sill: 0.9, head: 2.1 },
  door: { width: 0.9, sill: 0, head: 2.05 } } as const;

const grid = (v: number): number => Math.round(v * 20) / 20;

/** An opening whose middle is nearest to a place; null where no wall is near or it has no room. */
export function openingAt(o: readonly P[], kind: "window" | "door", at: P,
  near: number): { wall: number; from: number; width: number } | null {
  const w = nearestWall(o, at), width = Math.min(openings[kind].width, (w?.len ?? 0) - 0.1);
  if (!w || w.far > near || width < 0.4) return null;
  return { wall: w.i + 1, from: Math.max(0, Math.min(grid(w.along - width / 2), w.len - width)),
    width: Math.round(width * 100) / 100 };
}

/** The box of a thing whose middle is put at a place, its back against a wall that is near. */
export function thingAt(o: readonly P[], size: readonly number[], at: P, near = 0.5): { x: number; y: number;
  w: number; d: number } {
  const w = nearestWall(o, at), [a = 1, b = 1] = size;
  // Along a wall that runs up and down the front turns with it.
  const upright = w !== null && w.far < near + b / 2 && Math.abs(w.ux) < 0.1, wide = upright ? b : a,
    deep = upright ? a : b;
  let x = at[0] - wide / 2, y = at[1] - deep / 2;
  if (w && w.far < near + b / 2 && (Math.abs(w.ux) < 0.1 || Math.abs(w.uy) < 0.1)) {
    // It stands along the wall, not past its ends.
    const a0 = o[w.i] ?? at, b0 = o[(w.i + 1) % o.length] ?? at,
      along = (v: number, size: number, k: 0 | 1): number => (size > w.len ? v
        : Math.min(Math.max(v, Math.min(a0[k], b0[k])), Math.max(a0[k], b0[k]) - size));
    if (upright) { x = w.uy > 0 ? w.x - wide : w.x; y = along(y, deep, 1); }
    else { y = w.ux > 0 ? w.y : w.y - deep; x = along(x, wide, 0); }
  }
  return { x: grid(x), y: grid(y), w: wide, d: deep };
}

export function openingEdits(root: TreeNode | null, kind: "window" | "door",
  at: { wall: number; from: number; width: number }, ceiling: number): Edit[] {
  const k = openings[kind], head = Math.min(k.head, ceiling > 0 ? ceiling - 0.1 : k.head),
    sill = kind === "window" ? `, sill: ${plain(Math.min(k.sill, head - 0.3))} m` : "";
  return addEdits(root, kind === "window" ? "room.windows" : "room.doors",
    `{name: ${kind}, wall: ${at.wall}, from: ${plain(at.from)} m, width: ${plain(at.width)} m${sill}, head: ${plain(
      head)} m}`);
}

export function thingEdits(root: TreeNode | null, t: PlaceView["things"][number],
  at: { x: number; y: number; w: number; d: number }): Edit[] {
  const name = freeName(entries(find(root, "room.objects")), t.kind),
    size = `[${plain(at.w)}, ${plain(at.d)}, ${plain(t.size[2])}]`;
  return [{ append: "room.objects",
    value: `{name: ${name}, kind: ${t.kind}, box: {at: [${plain(at.x)}, ${plain(
      at.y)}], size: ${size}}, surface: ${t.surface}}` }];
}

/** Walls as drawn: closed, anticlockwise; what stood on walls that are no more goes with them. */
export function wallEdits(root: TreeNode | null, v: SetupView | null, corners: readonly P[]): Edit[] {
  const o = area(corners) < 0 ? [...corners].reverse() : corners, n = o.length, edits: Edit[] = [];
  for (const kind of ["windows", "doors"] as const) {
    const list = v?.room[kind] ?? [], len = (i: number): number => {
      const a = o[i], b = o[(i + 1) % n];
      return a && b ? Math.hypot(b[0] - a[0], b[1] - a[1]) : 0;
    };
    for (let i = list.length - 1; i >= 0; i--) {
      const w = list[i];
      if (w && w.wall > 0 && (w.wall > n || w.from + w.width > len(w.wall - 1))) edits.push({ delete: w.path });
    }
  }
  return [...outlineEdits(root, o), ...(find(root, "room.ceiling") || find(root, "room.size") ? []
    : [{ set: "room.ceiling", value: "2.6 m" }]), ...edits];
}

/** Begins to put something into the plan, or leaves it. */
export function begin(d: Desk, what: string): void {
  const p = d.store.page;
  d.store.set({ placing: p.placing === what ? "" : what, sketch: what === "walls" && p.placing !== what ? [] : null,
    ghost: null });
  if (!p.place) void fetchPlace(d);
}

export async function fetchPlace(d: Desk): Promise<void> {
  try {
    d.store.set({ place: await ask<PlaceView>(`/api/setup/${d.store.page.setup}/place`) });
  } catch (e) { d.say(e); }
}

/** A press in the plan: another corner of the walls, or the thing put there. shut: the walls end here. */
export function put(d: Desk, at: P, free: boolean, shut: boolean): void {
  const p = d.store.page, root = d.forms.root, o = d.forms.outline();
  if (p.placing === "walls") { corner(d, at, free, shut); return; }
  if (p.placing === "window" || p.placing === "door") {
    const w = openingAt(o, p.placing, at, 1);
    if (!w) { d.store.set({ toast: `A ${p.placing} stands in a wall: press on one.` }); return; }
    d.forms.send(`add ${p.placing}`, openingEdits(root, p.placing, w, p.view?.room.ceiling ?? 0));
    d.store.set({ placing: "", ghost: null });
    return;
  }
  const t = p.place?.things.find((x) => `thing:${x.kind}` === p.placing);
  if (!t) return;
  d.forms.send(`add ${t.kind}`, thingEdits(root, t, thingAt(o, t.size, at)));
  d.store.set({ placing: "", ghost: null });
}

function corner(d: Desk, at: P, free: boolean, shut: boolean): void {
  const s = d.store.page.sketch ?? [], next: [number, number] = free ? [at[0], at[1]]
    : squared(s, [grid(at[0]), grid(at[1])]), first = s[0];
  const back = first !== undefined && s.length > 2 && Math.hypot(at[0] - first[0], at[1] - first[1]) < 0.35;
  if (back || shut) { close(d); return; }
  d.store.set({ sketch: [...s, next] });
}

/** The walls as drawn become the room's. */
export function close(d: Desk): void {
  const p = d.store.page, s = p.sketch ?? [];
  if (s.length < 3 || Math.abs(area(s)) < 0.5) { d.store.set({ toast: "A room has three corners at least." }); return; }
  d.forms.send("draw the walls", wallEdits(d.forms.root, p.view, s));
  d.store.set({ placing: "", sketch: null, ghost: null });
}

/** The last corner is taken back; the length of another wall may be typed at once. */
export function back(d: Desk): void {
  const s = d.store.page.sketch?.slice(0, -1) ?? null;
  d.store.set({ sketch: s, opening: s?.length ? "typedwall" : "" });
}

/** A wall of a length typed, in the direction of the hand; null: nothing typed, the walls end here. */
export function typedWall(d: Desk, metres: number | null): void {
  const p = d.store.page, s = p.sketch ?? [], last = s[s.length - 1], g = p.ghost;
  if (metres === null) { close(d); return; }
  if (!last || !g || !(metres > 0)) {
    d.store.set({ toast: "Press where the first corner is, move the way the wall runs, then type its length." });
    return;
  }
  const to = squared(s, g), l = Math.hypot(to[0] - last[0], to[1] - last[1]) || 1;
  const round = (v: number): number => Math.round(v * 1000) / 1000;
  d.store.set({ sketch: [...s, [round(last[0] + ((to[0] - last[0]) / l) * metres),
    round(last[1] + ((to[1] - last[1]) / l) * metres)]], opening: "typedwall" });
}

/** Gives a part of the room a surface by name. */
export function paint(d: Desk, part: string, name: string): void {
  d.forms.send(`${part}: ${name}`, [{ set: join("room.surfaces", part), value: name }]);
}
