// What stands in a setup and can be moved: where it is, how far it reaches, and where that cannot be. Geometry only.
import type { BodyView, CameraView, SetupView } from "./wire.ts";

export type V3 = readonly [number, number, number];

/** A thing that can be taken hold of: light, aim, panel, camera, sitter or point, by its path in the file. */
export interface Thing {
  what: string;
  path: string;
}

const add = (a: V3, b: V3, k = 1): V3 => [a[0] + b[0] * k, a[1] + b[1] * k, a[2] + b[2] * k];
const less = (a: V3, b: V3): V3 => add(a, b, -1);
const dotp = (a: V3, b: V3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Where a thing is; null where it is not there (any more). The sitter's height is the floor's. */
export function placeOfThing(v: SetupView, t: Thing): V3 | null {
  switch (t.what) {
    case "light": return v.lights.find((l) => l.path === t.path)?.at ?? null;
    case "aim": return v.lights.find((l) => l.path === t.path)?.aim ??
      v.panels.find((q) => q.path === t.path)?.aim ?? (v.camera?.path === t.path ? v.camera.aim : null);
    case "panel": return v.panels.find((q) => q.path === t.path)?.at ?? null;
    case "camera": return v.camera && v.camera.path === t.path ? v.camera.at : null;
    case "sitter": return v.sitter && v.sitter.path === t.path ? [v.sitter.at[0], v.sitter.at[1], 0] : null;
    case "point": return v.points.find((q) => q.path !== "" && q.path === t.path)?.at ?? null;
  }
  return null;
}

/** What a thing is called. */
export function nameOfThing(v: SetupView, t: Thing): string {
  switch (t.what) {
    case "light": return v.lights.find((l) => l.path === t.path)?.name ?? "light";
    case "aim":
      return `aim of ${v.lights.find((l) => l.path === t.path)?.name ??
        v.panels.find((q) => q.path === t.path)?.name ?? "camera"}`;
    case "panel": return v.panels.find((q) => q.path === t.path)?.name || "panel";
    case "point": return v.points.find((q) => q.path === t.path)?.name ?? "point";
  }
  return t.what;
}

/** Where distances to the sitter are measured to: the face. */
export const faceOfSitter = (v: SetupView): V3 | null => {
  const f = v.sitter?.landmarks.face;
  return f ? [f[0], f[1], f[2]] : null;
};

/**
 * Angle at the sitter's face from the camera to the thing, seen from above: degrees,
 * camera right positive; and its height over the face as an angle.
 */
export function angleAtFace(v: SetupView, at: V3): { side: number; up: number } | null {
  const f = faceOfSitter(v), c = v.camera;
  if (!f || !c) return null;
  const a = Math.atan2(c.at[1] - f[1], c.at[0] - f[0]), b = Math.atan2(at[1] - f[1], at[0] - f[0]),
    far = Math.hypot(at[0] - f[0], at[1] - f[1]);
  if (far < 1e-6) return null;
  const side = (((b - a) * 180) / Math.PI + 540) % 360 - 180;
  return { side, up: (Math.atan2(at[2] - f[2], far) * 180) / Math.PI };
}

/** The same place turned round the face to another angle, its height kept. */
export function atAngle(v: SetupView, at: V3, side: number): V3 | null {
  const f = faceOfSitter(v), c = v.camera;
  if (!f || !c || !Number.isFinite(side)) return null;
  const a = Math.atan2(c.at[1] - f[1], c.at[0] - f[0]) + (side * Math.PI) / 180,
    far = Math.hypot(at[0] - f[0], at[1] - f[1]);
  return [f[0] + Math.cos(a) * far, f[1] + Math.sin(a) * far, at[2]];
}

/**
 * The same direction from the face at another distance, its height
 * kept; null where the height alone is farther away.
 */
export function atDistance(v: SetupView, at: V3, far: number): V3 | null {
  const f = faceOfSitter(v);
  if (!f || !(far > 0)) return null;
  const up = at[2] - f[2], flat2 = far * far - up * up, now = Math.hypot(at[0] - f[0], at[1] - f[1]);
  if (flat2 < 0) return null;
  const k = Math.sqrt(flat2), ux = now > 1e-6 ? (at[0] - f[0]) / now : 1, uy = now > 1e-6 ? (at[1] - f[1]) / now : 0;
  return [f[0] + ux * k, f[1] + uy * k, at[2]];
}

/** Corners of a body, its depth behind the face included. */
export function cornersOf(b: BodyView): V3[] {
  const w = Math.max(b.width, 0.02) / 2, h = Math.max(b.height, 0.02) / 2;
  const out: V3[] = [];
  if (b.shape === "disc" || b.shape === "sphere") {
    for (let k = 0; k < 16; k++) out.push(add(add(b.at, b.side, Math.cos((k * Math.PI) / 8) * w), b.up,
        Math.sin((k * Math.PI) / 8) * h));
    out.push(add(b.at, b.normal, -b.depth));
    return out;
  }
  for (const x of [-w, w]) for (const y of [-h, h]) for (const d of b.depth > 0.02 ? [0, -b.depth] : [0])
    out.push(add(add(add(b.at, b.side, x), b.up, y), b.normal, d));
  return out;
}

/** The corners of a thing as offsets from where it is. */
export function reachOf(v: SetupView, t: Thing): V3[] {
  const at = placeOfThing(v, t);
  if (!at) return [];
  if (t.what === "light") return (v.lights.find((l) => l.path === t.path)?.bodies ?? []).flatMap(cornersOf)
      .map((c) => less(c, at));
  if (t.what === "panel") {
    const q = v.panels.find((x) => x.path === t.path);
    return q ? cornersOf({ ...q, shape: "rectangle", depth: 0 } as BodyView).map((c) => less(c, at)) : [];
  }
  if (t.what === "sitter" && v.sitter) {
    const s = v.sitter, ring: V3[] = [];
    for (let k = 0; k < 8; k++) ring.push([0.2 * Math.cos((k * Math.PI) / 4), 0.2 * Math.sin((k * Math.PI) / 4),
        s.high[2]]);
    return ring;
  }
  return [[0, 0, 0]];
}

/** One wall: its line, length, and the direction into the room. Walls are counted from 1. */
export interface WallLine { n: number; a: readonly [number, number]; u: readonly [number, number]; len: number;
  into: readonly [number, number] }

export function wallsOf(v: SetupView): WallLine[] {
  const o = v.room.outline;
  return o.map((a, i) => {
    const b = o[(i + 1) % o.length] ?? a, dx = b[0] - a[0], dy = b[1] - a[1], len = Math.hypot(dx, dy) || 1;
    const u: [number, number] = [dx / len, dy / len];
    return { n: i + 1, a: [a[0], a[1]], u, len, into: [-u[1], u[0]] }; // anticlockwise: inside lies to the left
  });
}

/** Height of the ceiling over a place on the plan, metres; 0: under the open sky. */
export function ceilingAt(v: SetupView, x: number, y: number): number {
  const over = v.room.ceiling > 0 ? (v.room.ceilings ?? []).filter((z) => insideOf(z.outline, x, y)) : [];
  return over.length ? Math.min(...over.map((z) => z.height)) : v.room.ceiling;
}

export function insideRoom(v: SetupView, x: number, y: number): boolean {
  const o = v.room.outline;
  let inside = false;
  for (let i = 0, j = o.length - 1; i < o.length; j = i++) {
    const a = o[i] ?? [0, 0], b = o[j] ?? [0, 0];
    if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  }
  return inside;
}

/** Where a place lies in the picture, shares from its top left; null behind the camera. */
export function inPicture(c: CameraView, p: V3): { x: number; y: number; far: number } | null {
  const d = less(p, c.at), far = dotp(d, c.axis);
  if (far < 0.05) return null;
  return { x: 0.5 + (dotp(d, c.right) / far) * (c.image / c.sensor_width),
    y: 0.5 - (dotp(d, c.up) / far) * (c.image / c.sensor_height), far };
}

const within = (c: CameraView, p: V3): boolean => {
  const s = inPicture(c, p);
  return s !== null && s.x > 0 && s.x < 1 && s.y > 0 && s.y < 1;
};

/** How near to an exit nothing may stand, metres: common practice, no source; the venue decides. */
const exitClear = 0.9;

const cm = (m: number): string => `${Math.max(1, Math.round(m * 100))} cm`;

/**
 * Why a thing cannot well be at a place, in a few words; empty: it can.
 * The program's own checks say it in full soon after.
 */
export function whyNot(v: SetupView, t: Thing, at: V3): string {
  const reach = reachOf(v, t), roomy = v.room.outline.length > 2, corners = reach.map((r) => add(at, r)),
    solid = t.what !== "aim";
  if (roomy && !insideRoom(v, at[0], at[1])) {
    if (t.what === "aim") return "";
    const wall = wallsOf(v).map((w) => (
      { n: w.n, d: -((at[0] - w.a[0]) * w.into[0] + (at[1] - w.a[1]) * w.into[1]) })).filter((w) => w.d >= -1e-9)
      .sort((a, b) => a.d - b.d)[0];
    return wall && wall.d < 0.4 ? `in wall ${wall.n}` : "outside the room";
  }
  const low = Math.min(at[2], ...corners.map((c) => c[2]));
  const above = Math.max(...[at, ...corners].map((c) => c[2] - ceilingAt(v, c[0], c[1])));
  if (solid && roomy && v.room.ceiling > 0 && above > 0.001) return `${cm(above)} above the ceiling`;
  if (t.what !== "sitter" && low < -0.001) return `${cm(-low)} below the floor`;
  if (solid && roomy) {
    for (const w of wallsOf(v)) {
      const through = Math.max(...corners.map((c) => {
        const x = c[0] - w.a[0], y = c[1] - w.a[1], along = x * w.u[0] + y * w.u[1];
        return along >= 0 && along <= w.len && !insideRoom(v, c[0], c[1]) ? -(x * w.into[0] + y * w.into[1])
          : -Infinity;
      }));
      if (through > 0.001 && through < 1.5) return `${cm(through)} into wall ${w.n}`;
    }
  }
  if (t.what === "light" || t.what === "panel" || t.what === "sitter" || t.what === "camera") {
    const exit = v.room.exits.find((e) => Math.hypot(e[0] - at[0], e[1] - at[1]) < exitClear);
    if (exit) return `on the way out: ${Math.hypot(exit[0] - at[0], exit[1] - at[1]).toFixed(2)} m from an exit`;
  }
  const c = v.camera;
  if (c && (t.what === "light" || t.what === "panel") && corners.some((p) => within(c, p))) return "in the frame";
  if (c && t.what === "light") {
    for (let z = 0.05; z < at[2]; z += 0.1) if (within(c, [at[0], at[1], z]) && !hidden(v, c, [at[0], at[1], z]))
      return `stand in the frame at ${z.toFixed(1)} m`;
  }
  if (t.what === "light" || t.what === "camera") {
    const o = v.objects.find((x) => x.foot.length > 2 && at[2] > x.low && at[2] < x.high &&
      insideOf(x.foot, at[0], at[1]));
    if (o) return `inside ${o.name || "an object"}`;
    const s = v.sitter;
    if (s && at[0] > s.low[0] && at[0] < s.high[0] && at[1] > s.low[1] && at[1] < s.high[1] && at[2] < s.high[2])
      return "where the sitter is";
  }
  if (t.what === "point") {
    const o = v.objects.find((x) => x.solid && at[2] > x.low + skin && at[2] < x.high - skin &&
      insideOf(x.foot, at[0], at[1]) && !nearEdge(x.foot, at));
    if (o) return `inside ${o.name || "an object"}`;
  }
  return "";
}

/**
 * What furniture's parts stand back from its outline by, metres: a point so near
 * to its surface may be on it. The program's check is exact.
 */
const skin = 0.03;

const nearEdge = (foot: readonly (readonly [number, number])[], at: V3): boolean => foot.some((a, i) => {
  const b = foot[(i + 1) % foot.length] ?? a, dx = b[0] - a[0], dy = b[1] - a[1], l2 = dx * dx + dy * dy || 1,
    f = Math.max(0, Math.min(1, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / l2));
  return Math.hypot(at[0] - a[0] - f * dx, at[1] - a[1] - f * dy) < skin;
});

const insideOf = (foot: readonly (readonly [number, number])[], x: number, y: number): boolean =>
  insideRoom({ room: { outline: foot } } as unknown as SetupView, x, y);

/** Whether the sitter hides a place from the camera, by the box round the body. */
function hidden(v: SetupView, c: CameraView, p: V3): boolean {
  const s = v.sitter;
  if (!s) return false;
  const mid: V3 = [(s.low[0] + s.high[0]) / 2, (s.low[1] + s.high[1]) / 2, (s.low[2] + s.high[2]) / 2];
  const depth = dotp(less(mid, c.at), c.axis), d = less(p, c.at), far = dotp(d, c.axis);
  if (far <= depth) return false;
  const q = add(c.at, d, depth / far);
  return Math.hypot(q[0] - mid[0], q[1] - mid[1]) < 0.2 && q[2] < s.high[2];
}
