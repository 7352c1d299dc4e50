import assert from "node:assert/strict";
import { test } from "node:test";
import type { SetupView } from "../model/wire.ts";
import { common } from "./frame.ts";
import { frameFaults, inPicture } from "./framefaults.ts";

// A camera at the origin that looks along y, 50 mm on 36 × 24 mm: at 5 m the frame is 3.6 m wide.
const view = { camera: { path: "c", at: [0, 0, 0], axis: [0, 1, 0], right: [1, 0, 0], up: [0, 0, 1], image: 0.05,
  sensor_width: 0.036, sensor_height: 0.024 },
lights: [{ name: "key", path: "key", at: [1.8, 5, 0] }, { name: "rim", path: "rim", at: [9, 5, 0] },
  { name: "behind", path: "behind", at: [0, -2, 0] }], panels: [] } as unknown as SetupView;
const box = { x: 0, y: 0, w: 300, h: 200 };

test("a place comes out where similar triangles put it", () => {
  assert.deepEqual(inPicture(view, [1.8, 5, 0]), [1, 0.5]);
  const q = inPicture(view, [0, 5, 1.2]) ?? [0, 0];
  assert.ok(Math.abs(q[0] - 0.5) < 1e-9 && Math.abs(q[1]) < 1e-9);
  assert.equal(inPicture(view, [0, -1, 0]), null);
});

test("findings stand at the thing, at the edge, in the corner; what is behind the camera is left to the plan", () => {
  const text = frameFaults(view, box, new Map([["rim", "would tip"], ["behind", "over the sitter"],
    ["c", "edges double"]]), []).text;
  assert.match(text, /rim: would tip/);
  assert.doesNotMatch(text, /over the sitter/);
  assert.match(text, /edges double/);
  for (const x of text.matchAll(/<rect[^>]* x="([-\d.]+)"[^>]*\s+width="([-\d.]+)"/g)) {
    assert.ok(Number(x[1]) >= 0 && Number(x[1]) + Number(x[2]) <= 300, x[0]);
  }
});

test("on a phone findings stand in the mount under the picture, one below another", () => {
  const lights = Array.from({ length: 9 }, (_, i) => ({ name: `rim ${i}`, path: `l${i}`, at: [0.1 * i, 5, 0] })),
    all = new Map(lights.map((l) => [l.path, "in the frame"])), mount = { x: 0, y: 200, w: 300, h: 110 };
  const text = frameFaults({ ...view, lights } as unknown as SetupView, box, all, [], mount).text;
  const ys = [...text.matchAll(/<rect[^>]* y="([-\d.]+)"/g)].map((x) => Number(x[1]));
  assert.deepEqual(ys, [206, 226, 246, 266, 286]); // four, and the count: all under the picture and within the mount
  assert.match(text, /5 more: see Checks/);
});

test("findings keep off a face, and what has no room is counted", () => {
  const face = { x: 90, y: 40, w: 130, h: 130 }, lights = Array.from({ length: 9 }, (_, i) => ({ name: `rim ${i}`,
    path: `l${i}`, at: [0.1 * i, 5, 0] })), all = new Map(lights.map((l) => [l.path, "in the frame"]));
  const text = frameFaults({ ...view, lights } as unknown as SetupView, box, all, [face]).text;
  const plates = [...text.matchAll(/<rect[^>]* x="([-\d.]+)" y="([-\d.]+)"\s+width="([-\d.]+)"/g)]
    .map((x) => ({ x: Number(x[1]), y: Number(x[2]), w: Number(x[3]), h: 18 }));
  assert.equal(plates.length, 3); // two lines in 200 px, and the count
  for (const b of plates.slice(0, -1)) assert.ok(common(b, face) < 0.1 * b.w * b.h, JSON.stringify(b));
  assert.match(text, /7 more: see Checks/);
  assert.equal([...text.matchAll(/class="over"/g)].length, 9);
});
