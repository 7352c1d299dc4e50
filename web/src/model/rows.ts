// Which points the ladder has rows for, and in which order.
import { byNumber } from "./numbers.ts";
import type { SetupView } from "./wire.ts";

/** What of the page the rows hang on. */
export interface RowsOf {
  view: SetupView | null;
  numbers: readonly string[];
  unfold: boolean | null;
  point: number;
}

const levelKinds = ["reads", "stops", "above", "darkest", "brightest"];

/** The point has a wish about its level. */
export const wished = (v: SetupView, i: number): boolean =>
  v.look.some((w) => w.point === v.points[i]?.name && w.wants.some((x) => levelKinds.includes(x.kind)));

/**
 * All points have rows: as was asked, else where there are no wishes
 * yet, or so few points that folding saves nothing.
 */
export function unfoldedOf(p: RowsOf): boolean {
  if (p.unfold !== null) return p.unfold;
  const v = p.view, n = v?.points.length ?? 0, held = v ? v.points.filter((_, i) => wished(v, i)).length : 0;
  return held === 0 || n - held < 2;
}

/** Points with rows, by number. Folded: those with a wish, and the selected one. */
export function rowsOf(p: RowsOf): number[] {
  const v = p.view;
  if (!v) return [];
  const all = byNumber(v, p.numbers), open = unfoldedOf(p);
  return open ? all : all.filter((i) => wished(v, i) || i === p.point);
}
