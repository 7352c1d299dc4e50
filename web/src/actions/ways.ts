// The ways out in the order in which they are listed, and going through them by keys.
import type { MissedJSON, WaysView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import type { Desk } from "./desk.ts";

/** What is missed with its number, that of the selected rung first. */
export function inOrder(p: Page, w: WaysView): { x: MissedJSON; i: number }[] {
  const point = p.view?.points[p.point]?.name ?? "", mine = (x: { words: string }) => (point !== "" && x.words.startsWith(point) ? 0 : 1);
  return w.ways.missed.map((x, i) => ({ x, i })).sort((a, b) => mine(a.x) - mine(b.x));
}

/** All ways as they are listed: number of what is missed, number of the way, and whether it can be taken. */
export const listed = (p: Page): { i: number; k: number; can: boolean }[] => {
  const w = p.ways;
  return w ? inOrder(p, w).flatMap(({ x, i }) => x.ways.map((_, k) => ({ i, k, can: (w.takes[i]?.[k]?.edits.length ?? 0) > 0 }))) : [];
};

/** Highlights the next way or the one before; the ends hold. */
export function step(d: Desk, by: 1 | -1): void {
  const list = listed(d.store.page), at = list.findIndex((x) => `${x.i}-${x.k}` === d.store.page.way), to = list[at < 0 ? (by > 0 ? 0 : list.length - 1) : Math.min(list.length - 1, Math.max(0, at + by))];
  if (to) d.store.set({ way: `${to.i}-${to.k}` });
}

/** Takes the highlighted way. */
export function takeHighlighted(d: Desk): void {
  const t = listed(d.store.page).find((x) => `${x.i}-${x.k}` === d.store.page.way);
  if (!t) d.store.set({ toast: "No way is highlighted: the arrow keys choose one" });
  else if (!t.can) d.store.set({ toast: "That one is advice: nothing of it can be done here" });
  else { d.store.set({ way: "" }); d.takeWay(t.i, t.k); }
}
