import assert from "node:assert/strict";
import { test } from "node:test";
import { gapCM, splitSide, turnOf, walked, type Side } from "./walk.ts";
import { warpCSS } from "./warp.ts";

const m = { lengths: "metres", clock: 24 } as const;
const sides = (...x: string[]): Side[] => x.map((s) => { const p = splitSide(s); return { length: p.length,
  turn: p.turn || "left" }; });

test("a rectangle that closes is itself, whichever way round it is walked", () => {
  for (const turn of ["l", "r"]) {
    const w = walked(sides(`4 ${turn}`, `3 ${turn}`, `4 ${turn}`, `3 ${turn}`), m);
    assert.equal(w.why, "");
    assert.ok(gapCM(w) < 1e-9 && Math.abs(w.off) < 1e-9);
    // Turned to the right it lies below where it began: that corner is the upper left one.
    assert.deepEqual(w.outline, turn === "l" ? [[0, 0], [4, 0], [4, 3], [0, 3]] : [[0, 3], [0, 0], [4, 0], [4, 3]]);
  }
});

test("an error is spread along its own direction and square corners stay square", () => {
  // 4.02 against 4.00: 2 cm too long along x, half to each of two like sides; y closes.
  const w = walked(sides("4.02", "3", "4", "3"), m);
  assert.ok(Math.abs(gapCM(w) - 2) < 1e-9);
  assert.ok(Math.abs((w.spread[0] ?? 0) + 0.02 * 4.02 / 8.02) < 1e-9 &&
    Math.abs((w.spread[2] ?? 0) - 0.02 * 4 / 8.02) < 1e-9);
  assert.ok(Math.abs(w.spread[1] ?? 1) < 1e-9);
  const [, b, c, d] = w.outline;
  assert.ok(b && c && d && b[0] === c[0] && b[1] === 0 && c[1] === d[1]);
});

test("an L with a turn to the right, feet, and a corner of 45°", () => {
  const l = walked(sides("5 l", "2 l", "2 r", "2 l", "3 l", "4 l"), m);
  assert.equal(l.why, "");
  assert.equal(l.outline.length, 6);
  const ft = walked(sides("13 ft 1.5 in", "9 ft 10 in l", "13 ft 1.5 in", "9 ft 10 in"), { ...m, lengths: "feet" });
  assert.ok(Math.abs((ft.outline[1]?.[0] ?? 0) - 4.0005) < 0.0006);
  assert.equal(turnOf("45°"), 45);
  assert.equal(turnOf("right"), -90);
  assert.equal(turnOf("180"), null);
  assert.deepEqual(splitSide("2.4 45°"), { length: "2.4", turn: "45°" });
  assert.deepEqual(splitSide("7 ft 10 in"), { length: "7 ft 10 in", turn: "" });
});

test("what is no room says why", () => {
  assert.match(walked(sides("4", "3"), m).why, /three sides/);
  assert.match(walked(sides("4", "x", "4", "3"), m).why, /Side 2/);
  assert.match(walked(sides("4", "3", "1", "3"), m).why, /come back/);
  assert.match(walked([{ length: "4", turn: "about" }, ...sides("3", "4", "3")], m).why, /turn after side 1/);
});

test("a warp takes corners where the homography does", () => {
  const h = [1.1, 0.2, 0.05, -0.1, 0.9, 0.1, 0.15, -0.2, 1], w = 600, high = 400;
  const c = warpCSS(h, w, high).slice(9, -1).split(",").map(Number), at = (i: number): number => c[i] ?? 0;
  for (const [x, y] of [[0, 0], [1, 0], [0.3, 0.8]] as const) {
    const d = (h[6] ?? 0) * x + (h[7] ?? 0) * y + 1, u = ((h[0] ?? 0) * x + (h[1] ?? 0) * y + (h[2] ?? 0)) / d,
      v = ((h[3] ?? 0) * x + (h[4] ?? 0) * y + (h[5] ?? 0)) / d, px = x * w, py = y * high;
    const q = at(3) * px + at(7) * py + at(15); // a CSS matrix is written by columns
    assert.ok(Math.abs((at(0) * px + at(4) * py + at(12)) / q - u * w) < 1e-2);
    assert.ok(Math.abs((at(1) * px + at(5) * py + at(13)) / q - v * high) < 1e-2);
  }
});
