// What cannot stand as it is in a place: things through walls, openings that
// do not fit, outlets in the air. In a few words, by path.
import { ceilingAt, insideRoom, wallsOf } from "./things.ts";
import type { ObjectView, OpeningView, SetupView } from "./wire.ts";

const cm = (m: number): string => `${Math.max(1, Math.round(m * 100))} cm`;

/** How far a place lies outside the room and past which wall; null: it lies inside or on a wall. */
function past(v: SetupView, x: number, y: number): { by: number; wall: number } | null {
  if (insideRoom(v, x, y)) return null;
  let best: { by: number; wall: number } | null = null;
  for (const w of wallsOf(v)) {
    const along = Math.max(0, Math.min(w.len, (x - w.a[0]) * w.u[0] + (y - w.a[1]) * w.u[1])),
      by = Math.hypot(x - w.a[0] - along * w.u[0], y - w.a[1] - along * w.u[1]);
    if (!best || by < best.by) best = { by, wall: w.n };
  }
  return best && best.by > 0.01 ? best : null;
}

function opening(v: SetupView, w: OpeningView, all: readonly OpeningView[]): string {
  const wall = wallsOf(v)[w.wall - 1];
  if (!wall) return `there is no wall ${w.wall}`;
  const over = w.from + w.width - wall.len;
  if (w.from < -0.001 || over > 0.001) return `${cm(Math.max(-w.from, over))} past the end of wall ${w.wall}`;
  const ceiling = Math.min(...[0.001, 0.25, 0.5, 0.75, 0.999].map((k) => { // just inside the wall
    const t = w.from + w.width * k;
    return ceilingAt(v, wall.a[0] + wall.u[0] * t + wall.into[0] * 0.001,
      wall.a[1] + wall.u[1] * t + wall.into[1] * 0.001);
  }));
  if (ceiling > 0 && w.head > ceiling + 0.001) return `${cm(w.head - ceiling)} above the ceiling`;
  const other = all.find((o) => o !== w && o.wall === w.wall && o.from < w.from + w.width - 0.001 &&
    w.from < o.from + o.width - 0.001 && (o.sill ?? 0) < w.head && (w.sill ?? 0) < o.head);
  return other ? `over ${other.name || "another opening"}` : "";
}

/** Whether two outlines share ground: by separating lines, so both must be convex. */
function meet(a: ObjectView, b: ObjectView): boolean {
  if (a.low >= b.high - 0.01 || b.low >= a.high - 0.01) return false;
  for (const foot of [a.foot, b.foot]) {
    for (let i = 0; i < foot.length; i++) {
      const p = foot[i] ?? [0, 0], q = foot[(i + 1) % foot.length] ?? [0, 0],
        len = Math.hypot(q[0] - p[0], q[1] - p[1]) || 1, nx = (q[1] - p[1]) / len, ny = -(q[0] - p[0]) / len;
      const range = (f: readonly (readonly [number, number])[]): [number, number] =>
        f.reduce<[number, number]>(([lo, hi], c) => { const d = c[0] * nx + c[1] * ny; return [Math.min(lo, d),
          Math.max(hi, d)]; }, [Infinity, -Infinity]);
      const [alo, ahi] = range(a.foot), [blo, bhi] = range(b.foot);
      if (alo >= bhi - 0.01 || blo >= ahi - 0.01) return false;
    }
  }
  return true;
}

export function roomFaults(v: SetupView): Map<string, string> {
  const out = new Map<string, string>(),
    openings = [...v.room.windows, ...v.room.doors].filter((w) => w.wall > 0);
  // The ceiling over a corner of a foot, looked at a little inside it.
  const over = (foot: readonly (readonly [number, number])[], c: readonly [number, number]): number => {
    const mx = foot.reduce((s, q) => s + q[0], 0) / foot.length, my = foot.reduce((s, q) => s + q[1], 0) / foot.length;
    return ceilingAt(v, c[0] + (mx - c[0]) * 0.01, c[1] + (my - c[1]) * 0.01);
  };
  const put = (path: string, why: string) => { if (why) out.set(path, why); };
  if (v.room.outline.length < 3) return out;
  for (const w of openings) put(w.path, opening(v, w, openings));
  for (const o of v.objects) {
    const worst = o.foot.map((c) => past(v, c[0], c[1])).reduce((a, b) => (b && (!a || b.by > a.by) ? b : a), null);
    const ceiling = Math.min(...o.foot.map((c) => over(o.foot, c)));
    const into = o.solid ? v.objects.find((x) => x !== o && x.solid && meet(o, x)) : undefined;
    put(o.path, worst ? `${cm(worst.by)} into wall ${worst.wall}` : ceiling > 0 && o.high > ceiling + 0.001
      ? `${cm(o.high - ceiling)} above the ceiling` : into ? `into ${into.name || "another object"}` : "");
  }
  for (const q of v.room.practicals) {
    const worst = q.line.map((c) => past(v, c[0], c[1])).find((x) => x !== null),
      high = Math.max(...q.line.map((c) => c[2]), 0),
      ceiling = Math.min(v.room.ceiling, ...q.line.map((c) => ceilingAt(v, c[0], c[1])));
    put(q.path, worst ? `${cm(worst.by)} outside wall ${worst.wall}` : ceiling > 0 && high > ceiling + 0.001
      ? `${cm(high - ceiling)} above the ceiling` : "");
  }
  const spot = (path: string, c: readonly number[]) => {
    const p = past(v, c[0] ?? 0, c[1] ?? 0), ceiling = ceilingAt(v, c[0] ?? 0, c[1] ?? 0);
    put(path, p ? `${cm(p.by)} outside wall ${p.wall}` : ceiling > 0 && (c[2] ?? 0) > ceiling + 0.001
      ? `${cm((c[2] ?? 0) - ceiling)} above the ceiling` : "");
  };
  v.room.circuits.forEach((c, i) => c.outlets.forEach((o, j) => spot(`room.circuits[${i}].outlets[${j}]`, o)));
  v.room.exits.forEach((o, j) => spot(`room.exits[${j}]`, o));
  v.room.detectors.forEach((o, j) => spot(`room.detectors[${j}]`, o));
  return out;
}
