import assert from "node:assert/strict";
import { test } from "node:test";
import { patched } from "./difference.ts";

test("a difference changes what it names and leaves the rest the very same", () => {
  const old = { a: 1, list: [{ x: 1, y: [1, 2] }, { x: 2, y: [3] }], gone: "x", far: null as number | null },
    now = patched(old, { parts: { a: { whole: 0 }, list: { parts: { 0: { parts: { x: { whole: 5 } } } } },
      far: { whole: 3.5 } }, gone: ["gone"] });
  assert.deepEqual(now, { a: 0, list: [{ x: 5, y: [1, 2] }, { x: 2, y: [3] }], far: 3.5 });
  assert.equal(now.list[1], old.list[1]);
  assert.equal(now.list[0]?.y, old.list[0]?.y);
  assert.deepEqual(old.list[0], { x: 1, y: [1, 2] }); // the old value stands
  assert.equal(patched(now, { parts: { far: {} } }).far, null);
  assert.equal(patched(old, { parts: {} }), old);
});
