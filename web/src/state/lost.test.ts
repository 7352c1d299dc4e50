import assert from "node:assert/strict";
import { test } from "node:test";
import type { Change, State } from "../model/wire.ts";
import { Editor, Refused } from "./wire.ts";

const state = (revision: number): State => ({ revision }) as unknown as State;

test("a change without an answer is sent anew under its id, before those after it", async () => {
  const got: Change[] = [];
  let down = 2, revision = 1;
  const e = new Editor(() => revision, (s) => {
    revision = s.revision;
  }, (x) => { throw x as Error; }, () => undefined, async (c) => {
    got.push(c);
    if (down-- > 0) throw new TypeError("Failed to fetch");
    return state(revision + 1);
  }, () => null, () => Promise.resolve());
  e.edit("one", [{ set: "a", value: "1" }]);
  e.edit("two", [{ append: "b", value: "2" }]);
  for (let k = 0; k < 200 && !e.idle; k++) await new Promise((r) => setTimeout(r, 2));
  assert.ok(e.idle);
  assert.deepEqual(got.map((c) => c.name), ["one", "one", "one", "two"]);
  assert.equal(new Set(got.slice(0, 3).map((c) => c.id)).size, 1);
  assert.notEqual(got[3]?.id, got[0]?.id);
});

test("what an earlier page left is sent first; a refusal is told and not repeated", async () => {
  const got: string[] = [], told: unknown[] = [];
  const e = new Editor(() => 1, () => undefined, (x) => { told.push(x); }, () => undefined, async (c) => {
    got.push(c.name);
    if (c.name === "bad") throw new Refused("no", 422, null);
    return state(2);
  });
  e.resume([{ revision: 0, id: "x", name: "left", edits: [{ set: "a", value: "1" }] }]);
  e.edit("bad", [{ set: "a", value: "1" }]);
  e.edit("good", [{ set: "c", value: "1" }]);
  for (let k = 0; k < 200 && !e.idle; k++) await new Promise((r) => setTimeout(r, 2));
  assert.deepEqual(got, ["left", "bad", "good"]);
  assert.equal(told.length, 1);
});
