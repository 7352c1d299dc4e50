import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { foundBorders, foundNumbers, foundWhere, keepBorders, keepNumbers, keepWhere } from "./memory.ts";
import { foundUnsent, keepUnsent, newId, unsentOf } from "./unsent.ts";

// A device's storage; one that is full or private throws.
const kept = new Map<string, string>();
let broken = false;
Object.defineProperty(globalThis, "localStorage", { configurable: true, value: {
  getItem: (k: string): string | null => { if (broken) throw new Error("private"); return kept.get(k) ?? null; },
  setItem: (k: string, v: string): void => { if (broken) throw new Error("full"); kept.set(k, v); },
  removeItem: (k: string): void => { kept.delete(k); },
  key: (i: number): string | null => [...kept.keys()][i] ?? null,
  get length(): number { if (broken) throw new Error("private"); return kept.size; },
} });
beforeEach(() => { kept.clear(); broken = false; });

test("where one was is found again in the same file only", () => {
  keepWhere({ file: "a.yaml", setup: "Aisle", pane: "edit" });
  assert.deepEqual(foundWhere("a.yaml"), { file: "a.yaml", setup: "Aisle", pane: "edit" });
  assert.equal(foundWhere("b.yaml"), null);
});

test("numbers are kept by file and setup, the newest two hundred of them", () => {
  keepNumbers("a", "one", ["face", "hair"]);
  keepNumbers("a", "two", ["wall"]);
  assert.deepEqual(foundNumbers("a", "one"), ["face", "hair"]);
  assert.deepEqual(foundNumbers("b", "one"), []);
  const before = kept.get("numbers");
  keepNumbers("a", "one", ["face", "hair"]);
  assert.equal(kept.get("numbers"), before, "the same numbers are not written again");
  for (let k = 0; k < 230; k++) keepNumbers("a", `setup ${k}`, ["p"]);
  assert.deepEqual(foundNumbers("a", "one"), []);
  assert.deepEqual(foundNumbers("a", "setup 229"), ["p"]);
  assert.ok(Object.keys(JSON.parse(kept.get("numbers") ?? "{}") as object).length <= 201);
});

test("borders are kept; a device that keeps nothing is no fault", () => {
  assert.deepEqual(foundBorders(), {});
  keepBorders({ rail: 320 });
  assert.deepEqual(foundBorders(), { rail: 320 });
  kept.set("borders", "{broken");
  assert.deepEqual(foundBorders(), {});
  broken = true;
  keepBorders({ rail: 1 });
  keepUnsent({ changes: [] });
  assert.equal(foundWhere("a"), null);
  assert.equal(foundUnsent("a"), null);
});

test("what is without an answer is found by the page that opens the same file", () => {
  const one = unsentOf("1"), two = unsentOf("2"), three = unsentOf("3");
  assert.equal(one.found("a.yaml"), null);
  const change = { revision: 3, id: newId(), name: "set key 1/8", edits: [{ set: "a", value: "1" }] };
  one.keep({ changes: [change] });
  assert.equal(two.found("b.yaml"), null, "another file's stay where they are");
  assert.deepEqual([...kept.keys()], ["unsent 1"]);
  assert.deepEqual(two.found("a.yaml")?.changes, [change]);
  two.keep({ text: { text: "x", base: "y" } });
  assert.deepEqual(three.found("a.yaml"), { file: "a.yaml", changes: [change], text: { text: "x", base: "y" } });
  three.keep({ changes: [], text: null });
  assert.equal(kept.size, 0, "an empty whole is taken off the device");
  kept.set("unsent 0", "{broken");
  assert.equal(one.found("a.yaml"), null);
});

test("what one page has saved takes nothing of another off the device", () => {
  const one = unsentOf("1"), two = unsentOf("2"), three = unsentOf("3"), four = unsentOf("4");
  one.found("a.yaml");
  two.found("a.yaml");
  one.keep({ text: { text: "mine", base: "" } });
  two.keep({ text: { text: "yours", base: "" } });
  two.keep({ text: null });
  assert.equal(three.found("a.yaml")?.text?.text, "mine");
  one.keep({ text: { text: "more", base: "" } });
  two.keep({ text: { text: "yours", base: "" } });
  three.keep({ text: null });
  assert.equal(three.found("a.yaml")?.text?.text, "more");
  assert.equal(four.found("a.yaml")?.text?.text, "yours", "a second text waits for the next page");
});

test("no two changes have one id", () => {
  assert.equal(new Set(Array.from({ length: 1000 }, newId)).size, 1000);
});
