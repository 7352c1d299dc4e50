import assert from "node:assert/strict";
import { test } from "node:test";
import { Store } from "../state/store.ts";
import type { WaysView } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { inOrder, listed, step, takeHighlighted } from "./ways.ts";

const ways = { revision: 1, ways: { name: "s", missed: [{ words: "hair edge at +0.7" }, { words: "wall at -2" }],
  ways: [{}, {}, {}], refused: [], stopped: false },
  takes: [{ name: "c", edits: [{}] }, { name: "a", edits: [{}] }, { name: "b", edits: [] }] } as unknown as WaysView;

test("keys go through the ways in the order they are listed, hold at the ends, and take what is highlighted", () => {
  const store = new Store((f) => f()), took: number[] = [];
  const d = { store, takeWay: (k: number) => took.push(k) } as unknown as Desk;
  store.set({ ways, view: { points: [{ name: "hair edge" }, { name: "wall" }] } as never, point: 1 });
  assert.deepEqual(inOrder(store.page, ways).map((x) => x.words),
    ["wall at -2", "hair edge at +0.7"]); // the selected rung's first
  assert.deepEqual(listed(store.page).map((x) => [x.k, x.can]), [[0, true], [1, true], [2, false]]);
  takeHighlighted(d);
  assert.deepEqual(took, []);
  assert.match(store.page.toast, /No way is highlighted/);
  step(d, 1);
  assert.equal(store.page.way, "0");
  step(d, -1);
  assert.equal(store.page.way, "0");
  step(d, 1);
  takeHighlighted(d);
  assert.deepEqual(took, [1]);
  assert.equal(store.page.way, "");
  step(d, -1); // from none: the last
  assert.equal(store.page.way, "2");
  takeHighlighted(d);
  assert.deepEqual(took, [1]);
  assert.match(store.page.toast, /advice/);
});
