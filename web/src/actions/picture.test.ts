import assert from "node:assert/strict";
import { test } from "node:test";
import type { Edit, SetupView } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { beside, cameraTyped, compareSetup, cover, cropEdits, cropShape, cursor, flip, focus, focusSpot,
  lens, nextBeside,
  wipe } from "./picture.ts";
import { contoursAt, cycleContours, fit, impossible, stepHour, turnSitter, typed, typedHour } from "./place.ts";

const view = (more: object = {}): SetupView => ({ path: "setups[0]", camera: { path: "setups[0].camera", lens: 0.05,
  sensor_width: 0.036, sensor_height: 0.024, crop: [0, 0, 1, 1] }, sitter: { path: "setups[0].sitter", at: [3, 2],
    low: [2.8, 1.8, 0],
  high: [3.2, 2.2, 1.7] },
  lights: [{ path: "setups[0].lights[0]", name: "key", role: "key", called: "key", at: [1, 2, 2],
    house: false, bodies: [] }],
  points: [], panels: [], objects: [], room: { outline: [[0, 0], [6, 0], [6, 4], [0, 4]], ceiling: 2.6, windows: [],
    doors: [], practicals: [], exits: [], detectors: [], circuits: [] }, ...more }) as unknown as SetupView;

/** A desk whose page, edits and moves can be looked at. */
function desk(more: object = {}): { d: Desk; page: Record<string, unknown>; edits: Edit[][]; moves: unknown[] } {
  const page: Record<string, unknown> = { compare: null, before: null, setup: 0, state: { setups: [{}, {}, {}] },
    view: view(), cursor: null, spot: null, contours: "off", units: { lengths: "metres", clock: 24 }, ...more };
  const edits: Edit[][] = [], moves: unknown[] = [];
  const d = { store: { page, set: (x: object) => Object.assign(page, x) }, move: (x: unknown) => moves.push(x),
    live: { fetchOther: async () => undefined }, editor: { edit: (_: string, e: Edit[]) => { edits.push(e); } } };
  return { d: d as unknown as Desk, page, edits, moves };
}

test("what was before lies beside only where something was changed, and goes again", () => {
  const { d, page } = desk();
  beside(d);
  assert.match(String(page["toast"]), /Nothing of this setup was changed/);
  page["before"] = {};
  beside(d);
  assert.deepEqual(page["compare"], { with: "before", setup: 0, at: 0.5, whole: false });
  wipe(d, 1.4);
  assert.equal((page["compare"] as { at: number }).at, 1, "the wipe stays in the picture");
  beside(d);
  assert.equal(page["compare"], null);
});

test("space shows before while held; a tap leaves it until the next", () => {
  const { d, page } = desk({ before: {} });
  flip(d, true, 1000);
  assert.equal((page["compare"] as { whole: boolean }).whole, true);
  flip(d, false, 1600);
  assert.equal(page["compare"], null, "held for 0.6 s");
  flip(d, true, 2000);
  flip(d, false, 2100);
  assert.ok(page["compare"], "a tap of 0.1 s");
  flip(d, true, 3000);
  assert.equal(page["compare"], null);
});

test("setups lie beside in turn, never the one itself", () => {
  const { d, page } = desk();
  assert.equal(nextBeside(d), 1);
  compareSetup(d, 1);
  assert.equal(nextBeside(d), 2);
  compareSetup(d, 2);
  assert.equal(nextBeside(d), -1);
  compareSetup(d, 2);
  assert.equal(page["compare"], null);
  compareSetup(d, 0);
  assert.equal(page["compare"], null);
});

test("crop and cover are written as shares, and go when nothing is left of them", () => {
  assert.deepEqual(cropEdits(view(), [0, 0, 1, 1]), []);
  const cut = view({ camera: { path: "c", crop: [0.1, 0, 0.9, 1] } });
  assert.deepEqual(cropEdits(cut, [0, 0, 1, 1]), [{ delete: "c.crop" }]);
  assert.deepEqual(cropEdits(cut, [0.1, 0, 0.9, 1]), [{ set: "c.crop", value: "[0.1, 0, 0.9, 1]" }]);
  const { d, edits, page } = desk();
  cropShape(d, 1); // a square out of 36 × 24 mm keeps two thirds of the width
  const c = JSON.parse(edits[0]?.[0]?.value ?? "[]") as number[];
  assert.ok(Math.abs((c[2] ?? 0) - (c[0] ?? 0) - 2 / 3) < 2e-3 && c[3] === 1);
  cover(d, "on", "");
  assert.deepEqual(edits[1], [{ set: "setups[0].cover", value: "{lines: left}" }]);
  page["view"] = view({ cover: { path: "setups[0].cover" } });
  cover(d, "title", "24,5 %");
  assert.deepEqual(edits[2], [{ set: "setups[0].cover.title", value: "24.5 %" }]);
  cover(d, "title", "much");
  assert.match(String(page["toast"]), /is no share/);
  cover(d, "on", "");
  assert.deepEqual(edits[3], [{ delete: "setups[0].cover" }]);
});

test("the camera takes what is typed as displays write it, and says what it does not understand", () => {
  const { d, edits, page } = desk();
  for (const [key, text, want] of [["iso", "ISO 800", "800"], ["aperture", "5,6", "f/5.6"],
      ["shutter", "125", "1/125 s"],
    ["shutter", "2\"", "2 s"], ["white balance", "5200", "5200 K"], ["lens", "85mm", "85 mm"]] as const) {
    cameraTyped(d, key, text);
    assert.deepEqual(edits.at(-1), [{ set: `setups[0].camera.${key}`, value: want }], text);
  }
  cameraTyped(d, "shutter", "fast");
  assert.match(String(page["toast"]), /1\/125, or 2 s/);
  lens(d, 1);
  lens(d, -1);
  assert.deepEqual(edits.slice(-2).map((e) => e[0]?.value), ["60 mm", "40 mm"], "the neighbours of 50 mm");
  cursor(d, 0.7, -0.1);
  assert.deepEqual(page["cursor"], { x: 1, y: 0.4 });
});

test("a dimension typed moves the chosen thing; a place that cannot be is refused", () => {
  const { d, page, moves } = desk({ view: view({ camera: null }),
    thing: { what: "light", path: "setups[0].lights[0]" } });
  typed(d, "x", "2,4");
  typed(d, "z", "180 cm");
  assert.deepEqual(moves, [{ what: "light", path: "setups[0].lights[0]", at: [2.4, 2, 2] },
    { what: "light", path: "setups[0].lights[0]", at: [1, 2, 1.8] }]);
  typed(d, "y", "far");
  assert.match(String(page["toast"]), /is no length/);
  typed(d, "side", "round");
  assert.match(String(page["toast"]), /is no angle/);
  page["thing"] = { what: "sitter", path: "setups[0].sitter" };
  typed(d, "x", "9 m");
  assert.match(String(page["toast"]), /it stays where it is/);
  assert.equal(moves.length, 2);
  assert.ok(impossible({ what: "camera", path: "" }, "in wall 2") && !impossible({ what: "light", path: "" },
    "in wall 2"));
});

test("the head turns within what a neck does; contours go round; the plan fits again", () => {
  const { d, page, edits } = desk();
  turnSitter(d, "\u221230°");
  assert.deepEqual(edits[0], [{ set: "setups[0].sitter.turn", value: "-30 deg" }]);
  turnSitter(d, "120");
  assert.match(String(page["toast"]), /−90 to 90/);
  const seen: unknown[] = [];
  for (let i = 0; i < 3; i++) { cycleContours(d); seen.push(page["contours"]); }
  assert.deepEqual(seen, ["meter", "lights", "off"]);
  fit(d);
  assert.deepEqual(page["zoom"], { x: 0, y: 0, k: 1 });
});

test("the lens is focused on the near eye, a point, a distance or the spot that was read", () => {
  const { d, page, edits } = desk({ view: view({ camera: { path: "c", at: [5, 2, 1.5], axis: [-1, 0, 0],
    focus_text: "face" } }), spot: { at: [1, 2, 3] } });
  focus(d, "");
  focus(d, "hand");
  focus(d, "2 m");
  focusSpot(d);
  assert.deepEqual(edits.map((e) => e[0]), [{ delete: "c.focus" }, { set: "c.focus", value: "hand" },
    { set: "c.focus", value: "[3, 2, 1.5]" }, { set: "c.focus", value: "[1, 2, 3]" }]);
  focus(d, "0.05 m");
  assert.match(String(page["toast"]), /0\.1 m or farther/);
});

test("heights of contours and hours are read, kept within the day, and told when not understood", () => {
  const { d, page } = desk({ view: view({ hours: { at: 1060, from: 600, to: 1200, step: 10 } }), hour: null });
  let asked = 0;
  Object.assign((d as unknown as { live: object }).live, { hour: async () => { asked++; } });
  contoursAt(d, "1,2");
  assert.equal(page["contourZ"], 1.2);
  contoursAt(d, "high");
  assert.match(String(page["toast"]), /no height/);
  contoursAt(d, "");
  assert.equal(page["contourZ"], null);
  typedHour(d, "18:00");
  assert.equal(page["hour"], 1080);
  stepHour(d, 500);
  assert.equal(page["hour"], 1200, "no later than the day goes");
  typedHour(d, "17:40");
  assert.equal(page["hour"], null, "the setup's own hour");
  typedHour(d, "soon");
  assert.match(String(page["toast"]), /no time of day/);
  assert.equal(asked, 3);
});
