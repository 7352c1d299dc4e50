import assert from "node:assert/strict";
import { test } from "node:test";
import type { BeginView, LightView, SetupView } from "../model/wire.ts";
import { m } from "../units/markup.ts";
import { beginDrawing } from "./begin.ts";
import { placeOf, dot, px, py, pz, sx } from "./place.ts";
import { plan, type PlanLook } from "./plan.ts";
import { planLabels } from "./planlabels.ts";
import { roomPlan, roomScale } from "./roomplan.ts";
import { section } from "./section.ts";

const body = { shape: "rectangle", at: [1, 2, 2], normal: [0.6, -0.8, 0], side: [0.8, 0.6, 0],
  up: [0, 0, 1], width: 0.6,
  height: 0.9, depth: 0.3 };
const v = { path: "setups[0]", name: "A", objects: [{ name: "bar", path: "room.objects[0]", low: 0, high: 1.1,
  solid: true, foot: [[4, 0], [5, 0], [5, 1], [4, 1]] }],
  room: { outline: [[0, 0], [6, 0], [6, 4], [0, 4]], ceiling: 2.6, exits: [], detectors: [],
    windows: [{ name: "w", path: "room.windows[0]", wall: 1, from: 1, width: 1.2, sill: 0.9, head: 2.1,
      corners: [[1, 0, 0.9], [2.2, 0, 0.9], [2.2, 0, 2.1], [1, 0, 2.1]] }],
    doors: [{ name: "d", path: "room.doors[0]", wall: 2, from: 1, width: 0.9, sill: 0, head: 2.05, hinge: "start",
      corners: [[6, 1, 0], [6, 1.9, 0], [6, 1.9, 2.05], [6, 1, 2.05]] }],
    practicals: [{ name: "tubes", path: "room.practicals[0]", line: [[1, 3, 2.5], [3, 3, 2.5]], off: false }],
    circuits: [{ name: "ring", outlets: [[0, 2]] }] },
  lights: [{ name: "key", role: "key", called: "key", path: "setups[0].lights[0]", at: [1, 2, 2],
    aim: [3, 2, 1.5], bodies: [body], off: false, house: false, kind: "flash",
    flash: true },
    { name: "tubes", role: "", called: "tubes", path: "room.practicals[0]", bodies: [], house: true,
     
    off: false, kind: "practical" }],
  panels: [{ name: "silk", path: "setups[0].panels[0]", kind: "silk", face: "silk", at: [2, 3, 1.5],
    normal: [0, -1, 0], side: [1, 0, 0], up: [0, 0, 1], width: 1.2, height: 1.2, aim: [2, 0, 1.5] }],
  sitter: { path: "setups[0].sitter", at: [3, 2], stature: 1.7, pose: "standing", turn: 0, low: [2.8, 1.8, 0],
    high: [3.2, 2.2, 1.7], faces: [1, 0, 0], chest: [1, 0, 0], landmarks: {} },
  camera: { path: "setups[0].camera", at: [5, 2, 1.5], axis: [-1, 0, 0], right: [0, 1, 0], up: [0, 0, 1],
    aim: [3, 2, 1.5], sensor_width: 0.036, sensor_height: 0.024, image: 0.05, focus: 2, near: 1.9, far: 2.1 },
  points: [{ name: "face", path: "", at: [3.1, 2, 1.55], normal: [1, 0, 0], seen: true, sitter: true },
    { name: "wall", path: "setups[0].points[0]", at: [0.1, 2, 1.5], normal: [1, 0, 0], seen: false, sitter: false }],
} as unknown as SetupView;

const look = (more: Partial<PlanLook> = {}): PlanLook => ({ colour: (l: LightView) => (l.flash ? "#abc" : "#fed"),
  light: "setups[0].lights[0]", point: 1, moved: null, faults: new Map(), thing: "", feet: false, numbers: [7, 8],
  under: m``, underSection: m``, ...more });
const p = placeOf(v, 900, 700, { x: 0, y: 0, k: 1 });
const drawn = (k: PlanLook): string => plan(v, p, k, planLabels(v, p, k)).text;

test("the plan draws every thing at its place, true to scale", () => {
  const text = drawn(look());
  for (const key of ["setups[0].lights[0]", "setups[0].panels[0]", "plan-sitter", "plan-camera", "pt0", "pt1"])
    assert.ok(text.includes(`data-key="${key}"`), key);
  assert.ok(text.includes(`cx="${dot(px(p, 1))}" cy="${dot(py(p, 2))}" r="22"`), "the key stands at 1, 2");
  assert.ok(text.includes(`cx="${dot(px(p, 0))}" cy="${dot(py(p, 2))}" r="3.5"`), "the outlet is in wall 4");
  assert.ok(text.includes(`translate(${dot(px(p, 3))} ${dot(py(p, 2))})`), "the sitter stands at 3, 2");
  assert.ok(Math.abs(px(p, 6) - px(p, 0) - 6 * p.s) < 1e-9 && py(p, 4) < py(p, 0), "y runs up");
  assert.ok(text.includes(">6.00</text>"), "the length of the room is written");
  assert.ok(text.includes(">2.06</text>"), "so is the way from the key to what it is aimed at: √(2² + 0.5²)");
});

test("what a hand drags is drawn where the hand is, and only that", () => {
  const still = drawn(look()), k = look({ moved: { path: "setups[0].lights[0]", at: [2, 1, 2] } }), text = drawn(k);
  assert.ok(text.includes(`cx="${dot(px(p, 2))}" cy="${dot(py(p, 1))}" r="22"`));
  assert.ok(!text.includes(`cx="${dot(px(p, 1))}" cy="${dot(py(p, 2))}" r="22"`));
  const camera = /<g class="cam-g.*?<\/g>/.exec(still)?.[0] ?? "none";
  assert.ok(text.includes(camera), "the camera stays");
});

test("the section has heights true, faults have their words, feet are feet", () => {
  const k = look({ faults: new Map([["setups[0].panels[0]", "into wall 3"]]), feet: true,
    thing: "setups[0].panels[0]" });
  const text = section(v, p, k).text;
  assert.ok(text.includes(`cx="${dot(sx(p, 2))}" cy="${dot(pz(p, 1.5))}" r="20"`), "the panel hangs at 1.5 m");
  assert.ok(text.includes(`height="${dot(1.1 * p.s)}"`), "the bar is 1.1 m high");
  const from = drawn(k);
  assert.ok(from.includes("into wall 3") && from.includes("panel p-dots sel"));
  assert.match(from, /19[′']/, "6 m are 19 ft 8 in");
});

test("the plan of the place has its openings and furniture, each to be taken hold of", () => {
  const k = roomScale(v, 600, 500);
  const text = roomPlan(v, k, { chosen: "room.windows[0]", units: { lengths: "metres", clock: 24 }, shift: null,
    faults: new Map(), setup: true } as unknown as Parameters<typeof roomPlan>[2]).text;
  for (const path of ["room.windows[0]", "room.doors[0]", "room.objects[0]"])
    assert.ok(text.includes(path), path);
});

test("a room that begins is drawn from its answers", () => {
  const a: BeginView = { camera: [5.6, 2.5, 1.42], sitter: [3.4, 2, 0], face: [3.4, 2, 1.56], key: [4.5, 1.7, 2.05],
    fault: null, text: "", answers: { length: 7.2, width: 3.8, height: 2.75, camX: 5.6, camY: 2.5, camZ: 1.42,
      lens: 50, upright: true, far: 2.28, seated: false, stature: 1.7, left: true, round: 45, keyFar: 1.3,
      keyHeight: 2.05, head: "battery head 500", modifier: "octa 90" } };
  const text = beginDrawing(a, 800, 600, false).text;
  assert.ok(text.includes("Camera") && text.includes(">7.20</text>"));
  assert.notEqual(beginDrawing({ ...a, answers: { ...a.answers, length: 9 } }, 800, 600, false).text, text);
});
