// Actions on points and on what is wished of them.
import { byNumber, numberOf } from "../../model/numbers.ts";
import type { Page } from "../../state/store.ts";
import type { Action, Press } from "../action.ts";
import type { Desk } from "../desk.ts";
import * as picture from "../picture.ts";

const noPoint = (p: Page): string => (
  p.view?.points.length ? "" : "This setup has no points yet: click into the picture and keep the spot.");

/** The point that a press means: its own, or the selected one. */
const of = (d: Desk, x: Press): number => (x.arg === "this" ? x.n : d.store.page.point);

/** Selects the next row of the ladder, or the one before. */
function nextRow(d: Desk, by: 1 | -1): void {
  const rows = d.rows(), at = rows.indexOf(d.store.page.point),
    to = rows[Math.min(rows.length - 1, Math.max(0, at + by))];
  if (to !== undefined) d.selectPoint(at < 0 ? rows[0] ?? 0 : to);
}

/** A press means the point, or the light, that is selected when it comes. */
const mine = (p: Page, x: Press): Press => ({
  ...x, path: p.last === "light" && x.arg !== "this" ? p.light : "", n: x.arg === "this" ? x.n : p.point, arg: "this",
});

export const pointActions: readonly Action[] = [
  {
    name: "point", group: "points and wishes", words: "select a point by its number", told: true, can: noPoint,
    keys: [1, 2, 3, 4, 5, 6, 7, 8, 9].map((k) => ({ key: String(k), says: { arg: "number", n: k } })),
    do: (d, x) => {
      const v = d.store.page.view;
      if (!v) return;
      if (x.arg !== "number") { d.selectPoint(x.n); return; }
      const i = byNumber(v, d.store.page.numbers)
        .find((k) => numberOf(d.store.page.numbers, v.points[k]?.name ?? "") === x.n);
      if (i === undefined) d.store.set({ toast: `There is no point ${x.n}.` });
      else d.selectPoint(i);
    },
    each: (p) => (p.view ? byNumber(p.view, p.numbers).map((i) => ({
      words: `select point ${numberOf(p.numbers, p.view?.points[i]?.name ?? "")}, ${p.view?.points[i]?.name ?? ""}`,
        says: { n: i },
    })) : []),
  },
  {
    name: "row", group: "points and wishes", words: "the next point of the ladder, or the one before", told: true,
      can: noPoint,
    keys: [{ key: "ArrowUp", says: { by: -1 } }, { key: "ArrowDown", says: { by: 1 } }], do: (d, x) => nextRow(d, x.by),
  },
  {
    name: "more", group: "points and wishes",
      words: "wish of the selected point, or the selected light, a tenth down or up (Shift: a stop)",
    undo: "ask … at …", told: true, turn: mine,
    can: (p, x) => (x.path ? "" : noPoint(p) || (p.readings ? "" : "The light is still being read.")),
    keys: [
      { key: "ArrowLeft", says: { by: -1 } }, { key: "ArrowRight", says: { by: 1 } },
      { key: "Shift+ArrowLeft", says: { by: -1, far: true } }, { key: "Shift+ArrowRight", says: { by: 1, far: true } },
    ],
    do: (d, x) => {
      const i = x.n;
      if (x.path) { d.nudge(x.path, x.by * (x.far ? 1 : 0.1)); return undefined; }
      d.selectPoint(i);
      return d.ring(i, Math.round((d.ringAt(i) + x.by * (x.far ? 1 : 0.1)) * 10) / 10, `ring-keys-${i}`);
    },
  },
  {
    name: "wish", group: "form", words: "wish for a level or a reading at a point, typed", undo: "ask … at …",
    do: (d, x) => d.wishTyped(x.n, x.text),
  },
  {
    name: "hold", group: "points and wishes", words: "hold or free the wish of the selected point", undo: "hold …",
      keys: [{ key: "h" }], turn: (p, x) => ({ ...x, n: x.arg === "this" ? x.n : p.point, arg: "this" }),
    can: noPoint, do: (d, x) => d.hold(of(d, x)),
  },
  {
    name: "reach", group: "points and wishes",
      words: "balance: the lights move until the look is met, as far as they can", undo: "balance",
    keys: [{ key: "r" }], can: (p) => (p.asking ? "Balance is at work." : ""), do: (d) => void picture.reach(d),
  },
  {
    name: "unfold", group: "points and wishes", words: "ladder: all points, or only those with a wish",
      keys: [{ key: "u" }], can: noPoint,
    do: (d) => d.store.set({ unfold: !d.unfolded() }),
  },
  {
    name: "balloons", group: "picture", words: "points on the picture, or none", keys: [{ key: "0" }],
    do: (d) => d.store.set({ balloons: !d.store.page.balloons }),
  },
];
