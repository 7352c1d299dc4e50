import assert from "node:assert/strict";
import { test } from "node:test";
import { roomFaults } from "./roomfaults.ts";
import type { SetupView } from "./wire.ts";

const box = (path: string, x: number, y: number, w: number, d: number, high = 1, solid = true) => (
  { path, name: path, low: 0, high, solid, foot: [[x, y], [x + w, y], [x + w, y + d], [x, y + d]] });
const opening = (path: string, wall: number, from: number, width: number, sill = 0, head = 2) => (
  { path, name: path, wall, from, width, sill, head, corners: [] });

const view = (more: object): SetupView =>
  ({ objects: [], room: { outline: [[0, 0], [4, 0], [4, 3], [0, 3]], ceiling: 2.5, windows: [], doors: [],
    practicals: [], circuits: [], exits: [], detectors: [], ...(more as { room?: object }).room },
    ...(({ room: _, ...rest }: { room?: object }) => rest)(more as { room?: object }) }) as unknown as SetupView;

test("furniture through a wall, the ceiling or other furniture is named; what only touches is not", () => {
  const f = roomFaults(view({ objects: [box("ok", 0, 0, 1, 1), box("touching", 1, 0, 0.5, 1),
    box("through", 3.8, 1, 0.5, 0.5), box("tall", 2, 2, 0.3, 0.3, 2.8), box("a", 2, 0, 0.6, 0.6),
    box("b", 2.4, 0.3, 0.6, 0.6), box("shelf", 2, 2.6, 0.3, 0.3, 2.5, false)] }));
  assert.equal(f.get("through"), "30 cm into wall 2");
  assert.equal(f.get("tall"), "30 cm above the ceiling");
  assert.equal(f.get("a"), "into b");
  assert.equal(f.get("b"), "into a");
  assert.deepEqual([...f.keys()].sort(), ["a", "b", "tall", "through"]);
});

test("openings must fit their wall, the height of the room and each other", () => {
  const f =
    roomFaults(view({ room: { windows: [opening("w1", 1, 3.5, 0.8, 1), opening("w2", 2, 0.2, 1, 1),
      opening("high", 3, 0, 1, 1, 2.6), opening("fanlight", 2, 0.2, 0.9, 2.05, 2.4)],
      doors: [opening("d", 2, 1, 0.9), opening("none", 7, 0, 1)] } }));
  assert.equal(f.get("w1"), "30 cm past the end of wall 1");
  assert.equal(f.get("w2"), "over d");
  assert.equal(f.get("high"), "10 cm above the ceiling");
  assert.equal(f.get("none"), "there is no wall 7");
  assert.equal(f.get("fanlight"), undefined); // over the window, not in it
});

test("lamps, outlets, exits and smoke heads belong inside or on the walls", () => {
  const f =
    roomFaults(view({ room: { practicals: [{ path: "p", line: [[1, 1, 2.4], [1, 3.2, 2.4]] },
      { path: "q", line: [[1, 1, 2.6]] }], circuits: [{ name: "a", outlets: [[4, 1], [4.5, 1]] }], exits: [[4, 1]],
      detectors: [[2, 2, 2.48]] } }));
  assert.equal(f.get("p"), "20 cm outside wall 3");
  assert.equal(f.get("q"), "10 cm above the ceiling");
  assert.equal(f.get("room.circuits[0].outlets[1]"), "50 cm outside wall 2");
  assert.equal(f.size, 3);
});
