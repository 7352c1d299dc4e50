import assert from "node:assert/strict";
import { test } from "node:test";
import { angleAtFace, atAngle, atDistance, nameOfThing, placeOfThing, whyNot } from "./things.ts";
import { snapped } from "./snap.ts";
import type { SetupView } from "./wire.ts";

// A room of 6 × 4 × 2.7 m; the camera at x = 5 looks along −x at a face at x = 2, y = 2, 1.6 m high.
const view = (): SetupView => ({
  room: { outline: [[0, 0], [6, 0], [6, 4], [0, 4]], ceiling: 2.7, exits: [[6, 3.5]] },
  objects: [{ name: "counter", path: "o", foot: [[0, 3], [1, 3], [1, 4], [0, 4]], low: 0, high: 0.9 }],
  lights: [{ name: "key", path: "l0", house: false, at: [3, 1, 2], aim: [2, 2, 1.6],
    bodies: [{ shape: "disc", at: [3, 1, 2], normal: [-0.7071, 0.7071, 0], side: [0.7071, 0.7071, 0], up: [0, 0, 1],
      width: 0.9, height: 0.9, depth: 0.4 }] }],
  panels: [], points: [{ name: "wall", path: "p0", at: [1, 1, 1] }],
  sitter: { path: "s", at: [2, 2], low: [1.8, 1.8, 0], high: [2.2, 2.2, 1.7], landmarks: { face: [2, 2, 1.6] } },
  camera: { path: "c", at: [5, 2, 1.6], axis: [-1, 0, 0], right: [0, 1, 0], up: [0, 0, 1], image: 0.05,
    sensor_width: 0.024, sensor_height: 0.036 },
}) as unknown as SetupView;
const key = { what: "light", path: "l0" };

test("what cannot be is said in words with the measure", () => {
  const v = view();
  assert.equal(whyNot(v, key, [3, 1, 2]), "");
  assert.equal(whyNot(v, key, [3, 1, 2.4]), "15 cm above the ceiling"); // 2.4 + 0.45 − 2.7
  assert.equal(whyNot(v, key, [3, 1, 0.4]), "5 cm below the floor");
  assert.match(whyNot(v, key, [3, 0.2, 2]), /^\d+ cm into wall 1$/);
  assert.equal(whyNot(v, key, [3, -0.1, 2]), "in wall 1");
  assert.equal(whyNot(v, key, [3, -1, 2]), "outside the room");
  assert.match(whyNot(v, key, [5.4, 3.2, 1.2]), /^on the way out: 0\.67 m from an exit$/);
  assert.equal(whyNot(v, key, [3, 2, 1.6]), "in the frame");
  assert.match(whyNot(v, { what: "camera", path: "c" }, [0.5, 3.5, 0.5]), /^inside counter$/);
  assert.equal(whyNot(v, { what: "sitter", path: "s" }, [2, 4.5, 0]), "outside the room");
});

test("a point inside what is solid is said, one on it or under what is hollow is not", () => {
  const v = view(), p = { what: "point", path: "p0" },
    at = (x: number, y: number, z: number) => whyNot(v, p, [x, y, z]);
  assert.equal(at(0.5, 3.5, 0.5), ""); // not said to be solid
  (v.objects[0] as { solid: boolean }).solid = true;
  assert.equal(at(0.5, 3.5, 0.5), "inside counter");
  assert.equal(at(0.5, 3.5, 0.9), "");
  assert.equal(at(0.5, 3.02, 0.5), ""); // its front, as far as furniture stands back from its outline
});

test("a panel's aim is a thing of its own, under the panel's name", () => {
  const v = view();
  (v as { panels: unknown }).panels = [{ name: "silk", path: "q0", at: [4, 1, 1.8], aim: [2, 2, 1.6] }];
  assert.deepEqual(placeOfThing(v, { what: "aim", path: "q0" }), [2, 2, 1.6]);
  assert.equal(nameOfThing(v, { what: "aim", path: "q0" }), "aim of silk");
  assert.equal(whyNot(v, { what: "aim", path: "q0" }, [9, 9, 1]), ""); // one may aim past a wall
});

test("a stand that the camera sees is said, one hidden by the sitter is not", () => {
  const v = view();
  // High over the frame (vertical half angle atan(18/50) = 19.8°: at 2.5 m
  // distance 0.9 m up), its stand below in the picture.
  const high = { ...v.lights[0]!, bodies: [{ ...v.lights[0]!.bodies[0]!, width: 0.1, height: 0.1, depth: 0 }] };
  const w = { ...v, lights: [high] } as SetupView;
  assert.match(whyNot(w, key, [2.9, 2.3, 2.6]), /^stand in the frame/);
  assert.equal(whyNot(w, key, [1.4, 2, 2.68 - 0.05 - 0.01]), "in the frame");
});

test("angle and distance to the face are those of the drawing, and back", () => {
  const v = view(), a = angleAtFace(v, [3, 1, 2]);
  // From the face the camera lies along +x; the key at −45° in the plan; from the camera's side that is its left hand.
  assert.ok(a && Math.abs(a.side + 45) < 1e-9);
  assert.ok(a && Math.abs(a.up - (Math.atan2(0.4, Math.SQRT2) * 180) / Math.PI) < 1e-9);
  const back = atAngle(v, [3, 1, 2], -45), turned = atAngle(v, [3, 1, 2], 90);
  assert.ok(back && Math.hypot(back[0] - 3, back[1] - 1) < 1e-9);
  assert.ok(turned && Math.abs(turned[0] - 2) < 1e-9 && Math.abs(turned[1] - (2 + Math.SQRT2)) < 1e-9 &&
    turned[2] === 2);
  const far = atDistance(v, [3, 1, 2], 2);
  assert.ok(far && Math.abs(Math.hypot(far[0] - 2, far[1] - 2, far[2] - 1.6) - 2) < 1e-9 && far[2] === 2);
  assert.equal(atDistance(v, [3, 1, 2], 0.3), null); // the height alone is 0.4
});

test("a thing snaps to the tenth of a metre, to a line of another, to a wall, under the ceiling", () => {
  const v = view();
  assert.deepEqual(snapped(v, key, [3.27, 1.34, 2], [0, 1], 0.05).at, [3.3, 1.3, 2]);
  const line = snapped(v, key, [3.27, 1.97, 2], [0, 1], 0.05);
  assert.equal(line.at[1], 2);
  assert.deepEqual(line.lines, [{ axis: 1, at: 2 }]);
  const wall = snapped(v, { what: "point", path: "p0" }, [3.02, 0.03, 1], [0, 1], 0.05);
  assert.deepEqual([wall.at[1], wall.wall], [0.005, 1]);
  const up = snapped(v, key, [3, 1, 2.26], [0, 2], 0.05);
  assert.ok(Math.abs(up.at[2] - 2.24) < 1e-9); // 2.7 − 0.45 − 0.01
  assert.equal(whyNot(v, key, up.at), "");
  const fit = snapped(v, key, [3.4, 0.35, 2], [0, 1], 0.05);
  assert.equal(fit.wall, 1);
  assert.equal(whyNot(v, key, fit.at), "");
});
