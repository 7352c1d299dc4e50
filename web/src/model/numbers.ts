// The numbers of points: given in the order of the look, then as points are added, and kept for good.
import type { SetupView } from "./wire.ts";

/** Names in the order of their numbers, from those that were given before; a name that is gone keeps its place. */
export function numbersOf(view: SetupView, before: readonly string[]): string[] {
  const there = view.points.map((q) => q.name), wished = view.look.map((w) => w.point).filter((n) => there.includes(n));
  return [...new Set([...before, ...wished, ...there])];
}

/** The number of a point by its name, from 1; 0: none yet. */
export const numberOf = (numbers: readonly string[], name: string): number => numbers.indexOf(name) + 1;

/** Places in the list of points, by number. */
export function byNumber(view: SetupView, numbers: readonly string[]): number[] {
  const key = (i: number): number => numberOf(numbers, view.points[i]?.name ?? "") || 1e6 + i;
  return view.points.map((_, i) => i).sort((a, b) => key(a) - key(b));
}

/** Numbers of all points, in the order of the list of points. */
export const numbersIn = (view: SetupView | null, numbers: readonly string[]): number[] =>
  (view?.points ?? []).map((q, i) => numberOf(numbers, q.name) || i + 1);
