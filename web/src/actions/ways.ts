// The ways out in the order in which they are listed, and going through them by keys.
import type { MissedJSON, WaysView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import type { Desk } from "./desk.ts";

/** What is missed, that of the selected rung first. */
export function inOrder(p: Page, w: WaysView): MissedJSON[] {
  const point = p.view?.points[p.point]?.name ?? "",
    mine = (x: MissedJSON) => (point !== "" && x.words.startsWith(point) ? 0 : 1);
  return [...w.ways.missed].sort((a, b) => mine(a) - mine(b));
}

/** All ways as they are listed, by number, and whether each can be taken. */
export const listed = (p: Page): { k: number; can: boolean }[] => {
  const w = p.ways;
  return w ? w.ways.ways.map((_, k) => ({ k, can: (w.takes[k]?.edits.length ?? 0) > 0 })) : [];
};

/** Highlights the next way or the one before; the ends hold. */
export function step(d: Desk, by: 1 | -1): void {
  const list = listed(d.store.page), at = list.findIndex((x) => `${x.k}` === d.store.page.way),
    to = list[at < 0 ? (by > 0 ? 0 : list.length - 1) : Math.min(list.length - 1, Math.max(0, at + by))];
  if (to) d.store.set({ way: `${to.k}` });
}

/** Takes the highlighted way. */
export function takeHighlighted(d: Desk): void {
  const t = listed(d.store.page).find((x) => `${x.k}` === d.store.page.way);
  if (!t) d.store.set({ toast: "No way is highlighted: the arrow keys choose one" });
  else if (!t.can) d.store.set({ toast: "That one is advice: nothing of it can be done here" });
  else { d.store.set({ way: "" }); d.takeWay(t.k); }
}
