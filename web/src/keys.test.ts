import assert from "node:assert/strict";
import { test } from "node:test";
import { keys } from "./actions/keys.ts";

const event = (key: string, more: object = {}): KeyboardEvent => ({ key, code: "", ctrlKey: false, metaKey: false, altKey: false, shiftKey: false, target: { closest: () => null }, ...more }) as unknown as KeyboardEvent;

test("no key means two things, and every letter that the overview names does something", () => {
  for (const k of "abcdefghijklmnopqrstuvwxyz123456789[]{};:'\"<>,.?".split("")) {
    const hit = keys.filter((x) => x.test(event(k, { shiftKey: /[{}:"<>?]/.test(k) })));
    assert.ok(hit.length <= 1, `${k}: ${hit.map((x) => x.words).join("; ")}`);
  }
  for (const x of keys) if (/^[A-Z]$/.test(x.keys)) assert.ok(x.test(event(x.keys.toLowerCase())), x.keys);
  for (const word of ["before the last change", "mid-grey", "booth or paper", "balance", "crop", "setups", "undo", "this list"]) assert.ok(keys.some((k) => k.words.includes(word)), word);
});
