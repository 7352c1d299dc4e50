// What a wish of the person becomes in the file: pure, from the views to edits.
import { dialNear } from "../model/light.ts";
import type { Edit, LightView, PointView, SetupView, WishView } from "../model/wire.ts";
import { clamp, fText, plain } from "../units/stops.ts";

type V3 = readonly [number, number, number];

const pair = (x: number, y: number): string => `[${plain(x)}, ${plain(y)}]`;
const triple = (p: V3): string => `[${p.map((v) => plain(v)).join(", ")}]`;

/** Moves a thing that stands at 'at' with a height, or at three numbers. flat: its height stays. */
export function moveEdits(path: string, count: number, at: V3, flat = false): Edit[] {
  if (count === 3) return [{ set: `${path}.at`, value: triple(at) }];
  const ground = { set: `${path}.at`, value: pair(at[0], at[1]) };
  return flat ? [ground] : [ground, { set: `${path}.height`, value: `${plain(at[2])} m` }];
}

export const aimEdits = (path: string, at: V3): Edit[] => [{ set: `${path}.aim`, value: triple(at) }];

export const sitterEdits = (path: string, at: readonly number[]): Edit[] =>
  [{ set: `${path}.at`, value: pair(at[0] ?? 0, at[1] ?? 0) }];

export const pointEdits = (p: PointView, at: V3): Edit[] => (
  p.path ? [{ set: `${p.path}.at`, value: triple(at) }] : []);

/** The setting nearest to a level in stops against full, as the head's own dial has it. */
export function settingEdits(l: LightView, stops: number): { edits: Edit[]; stops: number; k: number } | null {
  if (!l.setting_path || l.dial.length === 0) return null;
  const d = dialNear(l, clamp(stops, l.stops - l.down_stops, 0));
  return d ? { edits: [{ set: l.setting_path, value: d.text }], stops: d.stops, k: 2 ** d.stops } : null;
}

/**
 * A setting as a person writes it, '1/8+0.3', '1/8 - .3', '60': the nearest on
 * the head's own dial, or null where it is none or past it.
 */
export function settingTyped(l: LightView, text: string): Edit[] | null {
  const t = text.trim().replace(/\u2212/g, "-").replace(/(\d),(\d)/g, "$1.$2");
  const flash = t.match(/^1\s*\/\s*(\d+)\s*(?:([+-])\s*(\d*\.?\d+))?$/), share = t.match(/^(\d+(?:\.\d+)?)\s*%?$/);
  const stops = l.flash ? (flash ? -Math.log2(Number(flash[1])) + (flash[2] === "-" ? -1 : 1) * Number(flash[3] ?? 0)
    : Number.NaN) : share ? Math.log2(Number(share[1]) / 100) : Number.NaN;
  const lo = Math.min(...l.dial.map((x) => x.stops));
  if (!Number.isFinite(stops) || stops > 0.051 || stops < lo - 0.051) return null;
  return settingEdits(l, stops)?.edits ?? null;
}

/** Switches a light: its own setting, or the setup's list for what belongs to the house. */
export function offEdits(v: SetupView, l: LightView): Edit[] {
  if (!l.house) return [{ set: `${l.path}.off`, value: l.off ? "false" : "true" }];
  const at = v.off.findIndex((n) => n.toLowerCase() === l.name.toLowerCase());
  if (at >= 0) return v.off.length === 1 ? [{ delete: `${v.path}.off` }] : [{ delete: `${v.path}.off[${at}]` }];
  return v.off.length ? [{ append: `${v.path}.off`, value: quoted(l.name) }]
    : [{ set: `${v.path}.off`, value: `[${quoted(l.name)}]` }];
}

export const lockEdits = (l: LightView): Edit[] => [{ set: `${l.path}.lock`, value: l.lock ? "false" : "true" }];

const quoted = (s: string): string => (/^[\p{L}][\p{L}\p{N} _-]*$/u.test(s) ? s : JSON.stringify(s));

const level = (w: WishView): number =>
  w.wants.findIndex((x) => ["reads", "stops", "above", "darkest", "brightest"].includes(x.kind));

/**
 * Asks for a level at a point, in stops from mid-grey; f is the reading
 * that goes with it. The wish keeps the kind that it has.
 */
export function wishEdits(v: SetupView, point: string, stops: number, f: number,
  otherStops: (name: string) => number | undefined): Edit[] {
  const wish = v.look.find((w) => w.point === point && level(w) >= 0);
  if (!wish) return [v.look.length
      ? { append: `${v.path}.look`, value: `{point: ${quoted(point)}, stops: ${st(stops)}}` }
      : { set: `${v.path}.look`, value: `[{point: ${quoted(point)}, stops: ${st(stops)}}]` }];
  const want = wish.wants[level(wish)];
  if (!want) return [];
  if (want.kind === "reads") return [{ set: `${wish.path}.${want.key || "reads"}`, value: fText(f) }];
  if (want.kind === "stops") return [{ set: `${wish.path}.${want.key || "stops"}`, value: st(stops) }];
  if (want.kind === "above" && want.to) {
    const other = otherStops(want.to);
    if (other !== undefined) return [{ set: `${wish.path}.by`, value: `${plain(Math.abs(stops - other), 1)} st` }];
  }
  const edits: Edit[] = wish.wants.filter((w) => w.kind === "darkest" || w.kind === "brightest")
    .map((w) => ({ delete: `${wish.path}.${w.key}` }));
  return [...edits, { set: `${wish.path}.stops`, value: st(stops) }];
}

/** What the ring asks of balance for a point. */
export function heldAs(v: SetupView, point: string, stops: number,
  f: number): { point: string; kind: "reads" | "stops"; value: number } {
  const wish = v.look.find((w) => w.point === point && level(w) >= 0);
  return wish?.wants[level(wish)]?.kind === "reads" ? { point, kind: "reads", value: f }
    : { point, kind: "stops", value: stops };
}

/** Frees a point: its wish goes. */
export function freeEdits(v: SetupView, point: string): Edit[] {
  const wish = v.look.find((w) => w.point === point && level(w) >= 0);
  if (!wish) return [];
  return v.look.length === 1 ? [{ delete: `${v.path}.look` }] : [{ delete: wish.path }];
}

const st = (v: number): string => `${v > 0 ? "+" : ""}${plain(v, 1)} st`;

/** Puts another part into a light; nothing: takes it out. */
export function partEdits(l: LightView, key: string, name: string): Edit[] {
  const path = `${l.path}.${key}`;
  if (name) return [{ set: path, value: quoted(name) }];
  const has = key === "modifier" ? l.modifier !== "" && l.modifier !== "bare" : key === "grid" ? l.grid !== ""
    : l.gels.length > 0;
  return has ? [{ delete: path }] : [];
}

/** A new light beside the camera, aimed at the sitter's face or the middle of what there is. */
export function addLightEdits(v: SetupView, head: string): Edit[] {
  const at = v.camera ? [v.camera.at[0], v.camera.at[1] - 0.8] : [1, 1];
  const roles = ["fill", "edge", "hair", "background", "accent"];
  const role = roles.find((r) => !v.lights.some((l) => l.role === r)) ?? "accent";
  const value =
    `{role: ${role}, head: ${quoted(head)}, at: ${pair(at[0] ?? 1, at[1] ?? 1)}, height: 1.9 m, aim: ${v.sitter
      ? "sitter.face" : "[1, 1, 1.2]"}}`;
  return [v.lights.some((l) => !l.house) ? { append: `${v.path}.lights`, value }
    : { set: `${v.path}.lights`, value: `[${value}]` }];
}

/** A new point where the picture was read. */
export const keepEdits = (v: SetupView, name: string, at: V3): Edit[] => {
  const value = `{name: ${quoted(name)}, at: ${triple(at)}, receptor: spot}`;
  return [v.points.some((p) => p.path) ? { append: `${v.path}.points`, value }
    : { set: `${v.path}.points`, value: `[${value}]` }];
};

/** Whole kelvins up or down by mired: even to the eye. */
export function whiteBalanceStep(text: string, step: number): string | null {
  const m = text.match(/(\d+(?:\.\d+)?)\s*K/);
  if (!m) return null;
  const mired = 1e6 / Number(m[1]) - step * 8;
  return `${Math.round(clamp(1e6 / mired, 1700, 15000) / 10) * 10} K`;
}

/**
 * A wish as typed: stops from mid-grey, '+0.5', '-1,5 st', or a
 * reading, 'f/4', 'f/5.6 + 0.3'. Not understood: null.
 */
export function wishRead(text: string): { stops?: number; f?: number } | null {
  const t = text.trim().toLowerCase().replace(/\u2212/g, "-").replace(/(\d),(\d)/g, "$1.$2");
  const f = t.match(/^f\s*\/?\s*(\d+(?:\.\d+)?)\s*(?:([+-])\s*(0?\.\d+))?$/),
    stops = t.match(/^([+-]?\s*\d*\.?\d+)\s*(st|stops?)?$/);
  if (f) return { f: wholeStop(Number(f[1])) * 2 ** (((f[2] === "-" ? -1 : 1) * Number(f[3] ?? 0)) / 2) };
  const v = stops ? Number((stops[1] ?? "").replace(/\s/g, "")) : Number.NaN;
  return Number.isFinite(v) && Math.abs(v) <= 20 ? { stops: v } : null;
}

/** f/5.6 is printed for 5.657: the f-number of the whole or third stop that a printed one means. */
const wholeStop = (n: number): number => {
  const sixths = Math.round(12 * Math.log2(n));
  return Math.abs(2 ** (sixths / 12) / n - 1) < 0.03 && sixths % 2 === 0 ? 2 ** (sixths / 12) : n;
};

/** The middle of the room, or of what stands there. */
function middle(v: SetupView): [number, number] {
  const all = v.room.outline.length ? v.room.outline
    : v.lights.flatMap((l) => (l.at ? [[l.at[0], l.at[1]] as const] : []));
  const xs = all.map((c) => c[0]), ys = all.map((c) => c[1]);
  return all.length ? [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2] : [2, 2];
}

/** A camera that looks at the sitter, or across the middle of the room. */
export function addCameraEdits(v: SetupView): Edit[] {
  const [x, y] = v.sitter ? v.sitter.at : middle(v),
    right = Math.max(x + 0.8, ...v.room.outline.map((c) => c[0] - 0.4)), at = Math.min(x + 2.4, right);
  const aim = v.sitter ? "sitter.face" : triple([x, y, 1.4]);
  const value =
    `{at: ${pair(at,
      y)}, height: 1.45 m, aim: ${aim}, lens: 50 mm, upright: true, aperture: f/4, shutter: 1/125 s, iso: 400}`;
  return [{ set: `${v.path}.camera`, value }];
}

/** A sitter in the middle of the room who looks at the camera, where there is one. */
export const addSitterEdits = (v: SetupView): Edit[] => {
  const [x, y] = middle(v), faces = v.camera ? "camera" : "x+";
  return [{ set: `${v.path}.sitter`, value: `{at: ${pair(x, y)}, stature: 1.70 m, pose: standing, faces: ${faces}}` }];
};
