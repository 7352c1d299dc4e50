import assert from "node:assert/strict";
import { test } from "node:test";
import type { FormField, TreeNode } from "../model/wire.ts";
import type { Units } from "../units/measures.ts";
import { whiteOf } from "./list/forms.ts";
import { addEdits, fieldEdits, flow, outlineEdits, partEdits, placePath, shiftEdits, written } from "./forms.ts";

const field = (p: Partial<FormField>): FormField => ({ key: "k", kind: "text", many: false, counts: [], unit: "",
  noun: "", like: "", default: "", says: "", need: false, words: [], usual: [], names: "", group: "", ...p });
const m: Units = { lengths: "metres", clock: 24 }, ft: Units = { lengths: "feet", clock: 12 };
const t = (text: string): TreeNode => ({ kind: "text", text });
const list = (...items: TreeNode[]): TreeNode => ({ kind: "list", items });
const map = (o: Record<string, TreeNode>): TreeNode => ({ kind: "map", keys: Object.keys(o), items: Object.values(o) });
const root = map({ room: map({ ceiling: t("2.75 m"), size: list(t("4"), t("5"), t("2.7")),
  objects: list(map({ name: t("box"), box: map({ at: list(t("0.5"), t("50 cm")) }) })),
  exits: list(list(t("1"), t("2"))) }) });

test("what is typed becomes what the file says", () => {
  const length = field({ kind: "quantity", noun: "length", unit: "m" });
  assert.equal(written(length, "2,1", m), "2.1 m");
  assert.equal(written(length, "12", ft), "12 ft");
  assert.equal(written(field({ kind: "quantity", noun: "angle", unit: "deg" }), "15", m), "15 deg");
  assert.equal(written(field({ kind: "quantity", noun: "colour temperature", unit: "K" }), "5600", m), "5600 K");
  assert.equal(written(field({ kind: "number" }), "0,5", m), "0.5");
  assert.equal(written(field({ kind: "clock" }), "5:40 pm", m), "17:40");
  assert.equal(written(field({ kind: "text" }), "[a", m), '"[a"');
  assert.equal(written(field({ kind: "colour" }), "#ff8040", m), '"#ff8040"');
  assert.equal(written(length, "wide", m), "wide"); // the program says what is wrong, at the field
});

test("one field is one edit; what is the same is none", () => {
  assert.deepEqual(fieldEdits(root, "room.ceiling", "3 m"), [{ set: "room.ceiling", value: "3 m" }]);
  assert.deepEqual(fieldEdits(root, "room.ceiling", "2.75 m"), []);
  assert.deepEqual(fieldEdits(root, "room.ceiling", ""), [{ delete: "room.ceiling" }]);
  assert.deepEqual(fieldEdits(root, "room.skirting", ""), []);
  assert.deepEqual(partEdits(root, "room.size", 1, "6", ["4", "6", "2.7"]), [{ set: "room.size[1]", value: "6" }]);
  assert.deepEqual(partEdits(root, "room.at", 0, "1", ["1", "", ""]), [{ set: "room.at", value: "[1]" }]);
  assert.deepEqual(partEdits(root, "room.size", 2, "", ["4", "5", ""]), [{ set: "room.size", value: "[4, 5]" }]);
});

test("entries are added under a name of their own, and moved", () => {
  assert.deepEqual(addEdits(root, "room.objects", "{name: box, box: {}}"),
    [{ append: "room.objects", value: "{name: box 2, box: {}}" }]);
  assert.equal(placePath(root, "room.objects[0]"), "room.objects[0].box.at");
  assert.deepEqual(shiftEdits(root, "room.objects[0].box.at", 1, 0.25),
    [{ set: "room.objects[0].box.at", value: "[1.5, 0.75]" }]);
  assert.deepEqual(shiftEdits(root, "room.exits[0]", 0, -1), [{ set: "room.exits[0]", value: "[1, 1]" }]);
  assert.deepEqual(outlineEdits(root, [[0, 0], [4, 0], [4, 3]]),
    [{ set: "room.outline", value: "[[0, 0], [4, 0], [4, 3]]" }, { delete: "room.size" }]);
  assert.equal(flow(root.items?.[0]?.items?.[2] ?? t(""), "x"), '[{"name": "box", "box": {"at": [0.5, "50 cm"]}}]');
});

test("a white is taken as it is typed; what is no temperature is said and not asked for", () => {
  assert.deepEqual(whiteOf("5600 K", ""), { kelvin: 5600, duv: 0 });
  assert.deepEqual(whiteOf("3200", "0.01"), { kelvin: 3200, duv: 0.01 });
  for (const bad of ["2,25 m", "60 %", "", "500 K", "1/125 s"]) {
    const why = whiteOf(bad, "");
    assert.ok(typeof why === "string" && why.includes("1000 K to 100000 K"), `${bad}: ${JSON.stringify(why)}`);
  }
  assert.match(String(whiteOf("5600 K", "f/4")), /no distance from white/);
});
