import assert from "node:assert/strict";
import { test } from "node:test";
import { addCorner, area, moveCorner, moveWall, setLength, wallLength } from "./room.ts";
import { fieldAt, find, freeName, inShort, join, steps, titleOf, up } from "./tree.ts";
import type { FormView, TreeNode } from "./wire.ts";

const t = (text: string): TreeNode => ({ kind: "text", text });
const tree: TreeNode = { kind: "map", keys: ["room"],
  items: [{ kind: "map", keys: ["windows", "wall 1.5"],
    items: [{ kind: "list", items: [{ kind: "map", keys: ["name", "from"], items: [t("one"), t("2 m")] }] },
      t("x")] }] };

test("paths are cut and joined as the server does", () => {
  assert.deepEqual(steps('room.windows[0]."wall 1.5".white balance'), ["room", "windows", 0, "wall 1.5",
    "white balance"]);
  assert.equal(join("room", "wall 1.5"), 'room."wall 1.5"');
  assert.equal(up("room.windows[0]"), "room.windows");
  assert.equal(up("room.windows"), "room");
  assert.equal(find(tree, "room.windows[0].from")?.text, "2 m");
  assert.equal(find(tree, 'room."wall 1.5"')?.text, "x");
  assert.equal(find(tree, "room.windows[1]"), undefined);
});

test("entries have a title, a word, a free name", () => {
  const w = find(tree, "room.windows");
  assert.equal(titleOf(w?.items?.[0], "window 1"), "one");
  assert.equal(inShort(w?.items?.[0]), "from 2 m");
  assert.equal(freeName(w?.items ?? [], "one"), "one 2");
});

test("the form finds the field of a path", () => {
  const f = (key: string, group = "", kind: FormView["groups"][string]["fields"][number]["kind"] = group ? "group"
    : "text") => ({ key, kind, many: false, counts: [], unit: "", noun: "", like: "", default: "", says: "",
      need: false, words: [], usual: [], names: "", group });
  const form: FormView = { groups: { file: { called: "", new: [], fields: [f("room", "room")] },
    room: { called: "", new: [], fields: [{ ...f("windows", "window"), many: true }] },
    window: { called: "", new: [], fields: [f("from")] } } };
  assert.equal(fieldAt(form, "room.windows[0].from").field?.key, "from");
  assert.equal(fieldAt(form, "room.windows[0]").group, "window");
  assert.equal(fieldAt(form, "room.windows[0]").entry, true);
  assert.equal(fieldAt(form, "nothing").field, null);
});

const rect: [number, number][] = [[0, 0], [4, 0], [4, 3], [0, 3]];

test("a wall moves along its normal and its neighbours stay straight", () => {
  assert.deepEqual(moveWall(rect, 1, 0.5), [[0, 0], [4.5, 0], [4.5, 3], [0, 3]]);
  assert.deepEqual(moveWall(rect, 0, 1), [[0, -1], [4, -1], [4, 3], [0, 3]]);
  const slanted: [number, number][] = [[0, 0], [4, 0], [5, 3], [0, 3]];
  const out = moveWall(slanted, 2, 1); // the top goes up: the slanted wall is followed outward
  assert.ok(Math.abs((out[2]?.[0] ?? 0) - (5 + 1 / 3)) < 1e-3 && out[2]?.[1] === 4);
});

test("a typed length is met exactly and the first corner stays", () => {
  for (let i = 0; i < 4; i++) {
    const out = setLength(rect, i, 6);
    assert.ok(Math.abs(wallLength(out, i) - 6) < 1e-9, `wall ${i}`);
    assert.deepEqual(out[i], rect[i]);
    assert.ok(area(out) > 0);
  }
  const slanted: [number, number][] = [[0, 0], [4, 0], [5, 3], [0, 3]];
  assert.ok(Math.abs(wallLength(setLength(slanted, 0, 5), 0) - 5) < 1e-3); // places are written to a millimetre
  assert.deepEqual(setLength(rect, 0, Number.NaN), rect);
});

test("a corner snaps to its neighbours' lines; a new one halves a wall", () => {
  assert.deepEqual(moveCorner(rect, 2, [4.03, 3.5], 0.08)[2], [4, 3.5]);
  assert.deepEqual(moveCorner(rect, 2, [4.5, 3.5], 0.08)[2], [4.5, 3.5]);
  assert.deepEqual(addCorner(rect, 3), [...rect, [0, 1.5]]);
  assert.equal(area(rect), 12);
});
