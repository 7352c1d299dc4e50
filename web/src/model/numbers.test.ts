import assert from "node:assert/strict";
import { test } from "node:test";
import { byNumber, numberOf, numbersOf } from "./numbers.ts";
import { rowsOf, unfoldedOf, wished } from "./rows.ts";
import type { SetupView } from "./wire.ts";

const view = (points: string[], look: string[]): SetupView =>
  ({ points: points.map((name) => ({ name })),
    look: look.map((point) => ({ point, wants: [{ kind: "stops" }] })) }) as unknown as SetupView;

test("numbers go by the look, then by the list of points, and are kept when wishes and points come and go", () => {
  const v = view(["brow", "face", "wall", "hair"], ["hair", "face"]), first = numbersOf(v, []);
  assert.deepEqual(first, ["hair", "face", "brow", "wall"]);
  assert.deepEqual(byNumber(v, first).map((i) => v.points[i]?.name), first);
  // the hair went, a new point came, another wish
  const then = numbersOf(view(["brow", "face", "wall", "new"], ["wall"]), first);
  assert.deepEqual(then, ["hair", "face", "brow", "wall", "new"]);
  assert.equal(numberOf(then, "new"), 5);
  assert.equal(numberOf(then, "gone"), 0);
});

test("free points fold where some are wished for; the selected one has a row; without wishes all have", () => {
  const v = view(["a", "b", "c", "d", "e"], ["c", "a"]), numbers = numbersOf(v, []),
    p = { view: v, numbers, unfold: null, point: 0 };
  assert.deepEqual(rowsOf(p), [2, 0]);
  assert.deepEqual(rowsOf({ ...p, point: 4 }), [2, 0, 4]);
  assert.deepEqual(rowsOf({ ...p, unfold: true }), [2, 0, 1, 3, 4]);
  assert.equal(unfoldedOf({ ...p, view: view(["a", "b"], []) }), true);
  assert.equal(wished(v, 1), false);
  assert.deepEqual(rowsOf({ ...p, view: null }), []);
});
