import assert from "node:assert/strict";
import { test } from "node:test";
import { around, boxOf, Labels, type Box } from "./labels.ts";

const apart = (a: Box, b: Box): boolean => a.x + a.w <= b.x + 1e-9 || b.x + b.w <= a.x + 1e-9 ||
  a.y + a.h <= b.y + 1e-9 || b.y + b.h <= a.y + 1e-9;

test("labels round one spot stand clear of it and of each other", () => {
  const l = new Labels({ x: 0, y: 0, w: 400, h: 300 });
  l.keepAround(200, 150, 12);
  const boxes = [60, 60, 60, 60].map((w) => boxOf(l.put(w, 11, around(200, 150, 16, -1, 0)), w, 11));
  boxes.forEach((a, i) => {
    assert.ok(apart(a, { x: 188, y: 138, w: 24, h: 24 }), `label ${i} lies on the spot`);
    boxes.slice(i + 1).forEach((b) => assert.ok(apart(a, b), "two labels lie on each other"));
  });
});

test("a label keeps inside where it can, though the wanted side is outside", () => {
  const l = new Labels({ x: 0, y: 0, w: 400, h: 300 });
  const b = boxOf(l.put(80, 11, around(390, 150, 10, 1, 0)), 80, 11);
  assert.ok(b.x >= 0 && b.x + b.w <= 400, `from ${b.x} to ${b.x + b.w}`);
});

test("a text turned upright is as high as it is long", () => {
  const b = boxOf({ x: 50, y: 50, anchor: "middle", turn: 90 }, 40, 10);
  assert.ok(Math.abs(b.h - 40) < 1e-9 && Math.abs(b.w - 10.5) < 1e-9);
  assert.ok(Math.abs(b.y - 30) < 1e-9);
});
