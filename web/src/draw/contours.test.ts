import assert from "node:assert/strict";
import { test } from "node:test";
import { mixed, nothing, type Grid } from "../model/fields.ts";
import type { FieldsView } from "../model/wire.ts";
import { contours, lengthOf } from "./contours.ts";

const grid = (nx: number, ny: number, step: number, f: (x: number, y: number) => number): Grid => {
  const v = new Float64Array(nx * ny), x0 = (-step * (nx - 1)) / 2, y0 = (-step * (ny - 1)) / 2;
  for (let j = 0; j < ny; j++) for (let i = 0; i < nx; i++) v[j * nx + i] = f(x0 + i * step, y0 + j * step);
  return { x: x0, y: y0, dx: step, dy: step, nx, ny, v };
};

test("a point over the plane has circles: d² = 2^−level − h² (inverse-square law)", () => {
  const h = 1, g = grid(81, 81, 0.1, (x, y) => -Math.log2(x * x + y * y + h * h));
  for (const level of [-1, -2, -3]) {
    const lines = contours(g, level), r = Math.sqrt(2 ** -level - h * h);
    assert.equal(lines.length, 1);
    assert.equal(lines[0]?.closed, true);
    for (const [x, y] of lines[0]?.points ?? []) {
      // Straight between neighbours 0.1 m apart: the sag of the curve there is
      // under 0.1²/8·|second derivative|, 0.4 mm to a few mm.
      assert.ok(Math.abs(Math.hypot(x, y) - r) < 0.005, `level ${level}: ${Math.hypot(x, y)} for ${r}`);
    }
    // the ring is not closed in its length: one step short
    assert.ok(Math.abs(lengthOf(lines[0]!) / (2 * Math.PI * r) - 1) < 0.05);
  }
  assert.deepEqual(contours(g, 1), []); // brighter than it gets anywhere
});

test("two equal points have two rings near them and one line round both farther out", () => {
  const g = grid(121, 81, 0.1,
    (x, y) => Math.log2(1 / ((x - 2) ** 2 + y * y + 0.25) + 1 / ((x + 2) ** 2 + y * y + 0.25)));
  assert.equal(contours(g, 1).length, 2);
  assert.equal(contours(g, -2).length, 1);
});

test("a plane gives one straight line from border to border, where it must be", () => {
  const lines = contours(grid(11, 7, 0.5, (x, y) => x + 2 * y), 0.7);
  assert.equal(lines.length, 1);
  assert.equal(lines[0]?.closed, false);
  for (const [x, y] of lines[0]?.points ?? []) assert.ok(Math.abs(x + 2 * y - 0.7) < 1e-9);
});

test("a saddle's lines do not cross, and levels that fall on grid points break nothing", () => {
  const g = grid(21, 21, 0.1, (x, y) => x * y);
  for (const level of [0.1, -0.1]) {
    const lines = contours(g, level);
    assert.equal(lines.length, 2);
    for (const l of lines) for (const [x, y] of l.points)
      assert.ok(Math.abs(x * y - level) < 0.003); // the cell's own curve, 0.1²/4
  }
  for (const l of contours(g, 0)) for (const p of l.points) assert.ok(Number.isFinite(p[0]) && Number.isFinite(p[1]));
});

test("layers are mixed by weight: light adds, the dark stays dark", () => {
  const f = { x: 0, y: 0, dx: 1, dy: 1, nx: 2, ny: 1, layers: [{ name: "a", stops: [300, -32768] },
    { name: "b", stops: [300, -32768] }] } as unknown as FieldsView;
  assert.ok(Math.abs((mixed(f, [1, 1]).v[0] ?? 0) - 4) < 1e-12);
  assert.ok(Math.abs((mixed(f, [0.5, 0]).v[0] ?? 0) - 2) < 1e-12);
  assert.equal(mixed(f, [1, 1]).v[1], nothing);
  assert.equal(mixed(f, []).v[0], nothing);
});
