import assert from "node:assert/strict";
import { test } from "node:test";
import { Store } from "../state/store.ts";
import type { WaysView } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { inOrder, listed, step, takeHighlighted } from "./ways.ts";

const ways = { revision: 1, ways: { name: "s", missed: [{ words: "hair edge at +0.7", ways: [{}, {}] }, { words: "wall at -2", ways: [{}] }], refused: [], stopped: false }, takes: [[{ name: "a", edits: [{}] }, { name: "b", edits: [] }], [{ name: "c", edits: [{}] }]] } as unknown as WaysView;

test("keys go through the ways in the order they are listed, hold at the ends, and take what is highlighted", () => {
  const store = new Store((f) => f()), took: string[] = [];
  const d = { store, takeWay: (i: number, k: number) => took.push(`${i}-${k}`) } as unknown as Desk;
  store.set({ ways, view: { points: [{ name: "hair edge" }, { name: "wall" }] } as never, point: 1 });
  assert.deepEqual(inOrder(store.page, ways).map((x) => x.i), [1, 0]); // the selected rung's first
  assert.deepEqual(listed(store.page).map((x) => [x.i, x.k, x.can]), [[1, 0, true], [0, 0, true], [0, 1, false]]);
  takeHighlighted(d);
  assert.deepEqual(took, []);
  assert.match(store.page.toast, /No way is highlighted/);
  step(d, 1);
  assert.equal(store.page.way, "1-0");
  step(d, -1);
  assert.equal(store.page.way, "1-0");
  step(d, 1);
  takeHighlighted(d);
  assert.deepEqual(took, ["0-0"]);
  assert.equal(store.page.way, "");
  step(d, -1); // from none: the last
  assert.equal(store.page.way, "0-1");
  takeHighlighted(d);
  assert.deepEqual(took, ["0-0"]);
  assert.match(store.page.toast, /advice/);
});
