import assert from "node:assert/strict";
import { test } from "node:test";
import { bandFromAbove, bandFromSide } from "./dof.ts";
import type { CameraView } from "../model/wire.ts";

const level = { axis: [-1, 0, 0], right: [0, 1, 0], up: [0, 0, 1], image: 0.05, sensor_width: 0.036,
  sensor_height: 0.024, focus: 2, near: 1.9, far: 2.1 } as unknown as CameraView;

test("the band lies between the near and far planes and is as wide as the picture there", () => {
  const b = bandFromAbove(level, [5, 2, 1.4]);
  assert.deepEqual(b.map((p) => Number(p[0].toFixed(6))), [3.1, 3.1, 2.9, 2.9]);
  // 36 mm at 50 mm: at 1.9 m the picture is 1.9·36/50 = 1.368 m wide.
  assert.ok(Math.abs(Math.abs((b[0]?.[1] ?? 0) - (b[1]?.[1] ?? 0)) - 1.368) < 1e-9);
  const s = bandFromSide(level, [5, 2, 1.4]);
  assert.ok(Math.abs(Math.abs((s[2]?.[2] ?? 0) - (s[3]?.[2] ?? 0)) - (2.1 * 24) / 50) < 1e-9);
});

test("a camera that looks down has its band where the planes cut the height of what is focused", () => {
  const c = { ...level, axis: [-0.8, 0, -0.6], up: [-0.6, 0, 0.8], far: null } as unknown as CameraView;
  const b = bandFromAbove(c, [5, 2, 2]);
  for (const p of b.slice(0, 2)) {
    assert.ok(Math.abs(p[2] - (2 - 0.6 * 2)) < 1e-9);
    // On the near plane: (p − camera)·axis = near.
    assert.ok(Math.abs((p[0] - 5) * -0.8 + (p[2] - 2) * -0.6 - 1.9) < 1e-9);
  }
  for (const p of b) for (const x of p) assert.ok(Number.isFinite(x));
});
