import assert from "node:assert/strict";
import { test } from "node:test";
import { spread } from "./draw/hatch.ts";
import { labelsAt, opening } from "./draw/frame.ts";
import { levels, ringOf } from "./model/light.ts";
import type { LightView, ReadingsView, SetupView } from "./model/wire.ts";
import { Store } from "./state/store.ts";
import { Editor, Refused } from "./state/wire.ts";
import type { Change, State } from "./model/answers.ts";
import * as edits from "./actions/edits.ts";

const light = (x: Partial<LightView>): LightView => ({ name: "key", role: "key", called: "key",
  path: "setups[0].lights[0]", layer: 0, kind: "flash", flash: true, house: false, off: false, lock: false,
  k: 0.125,
  stops: -3, down_stops: 5,
  headroom_stops: 3, setting_path: "setups[0].lights[0].power", gels: [], modifier: "", grid: "",
  dial: [{ text: "1/1", stops: 0 }, { text: "1/8 + 0.1", stops: -2.9 }, { text: "1/8", stops: -3 },
    { text: "1/256", stops: -8 }], ...x }) as LightView;

const view = (x: Partial<SetupView> = {}): SetupView =>
  ({ path: "setups[0]", lights: [light({}),
    light({ name: "tubes", path: "room.practicals[0]", layer: 1, kind: "practical", flash: false, house: true,
      k: 1 })], look: [], off: [], points: [{ name: "face", path: "", receptor: "flat", sitter: true, at: [0, 0, 1],
      normal: [1, 0, 0], seen: true }], camera: { path: "setups[0].camera", aperture: { value: 4 },
    shutter: { value: 1 / 60 }, iso: { value: 400 }, sync: 1 / 200, flash_lit_share: 1, exposure: { factor: 0.18 } },
    ...x }) as unknown as SetupView;

test("a thing is moved in the form that the file has", () => {
  assert.deepEqual(edits.moveEdits("l", 2, [1.23456, 2, 1.9]), [{ set: "l.at", value: "[1.235, 2]" },
    { set: "l.height", value: "1.9 m" }]);
  assert.deepEqual(edits.moveEdits("l", 3, [1, 2, 3]), [{ set: "l.at", value: "[1, 2, 3]" }]);
  // in the plan the height stays
  assert.deepEqual(edits.moveEdits("l", 2, [1, 2, 1.9], true), [{ set: "l.at", value: "[1, 2]" }]);
});

test("a setting is one of the head's own dial, never past what it can", () => {
  assert.deepEqual(edits.settingEdits(light({}), -2.93)?.edits,
    [{ set: "setups[0].lights[0].power", value: "1/8 + 0.1" }]);
  assert.equal(edits.settingEdits(light({}), 4)?.stops, 0);
  assert.equal(edits.settingEdits(light({ setting_path: "" }), -1), null);
});

test("house lights are switched in the setup's list, own lights by their setting", () => {
  const v = view();
  assert.deepEqual(edits.offEdits(v, v.lights[0]!), [{ set: "setups[0].lights[0].off", value: "true" }]);
  assert.deepEqual(edits.offEdits(v, v.lights[1]!), [{ set: "setups[0].off", value: "[tubes]" }]);
  assert.deepEqual(edits.offEdits(view({ off: ["tubes"] }), v.lights[1]!), [{ delete: "setups[0].off" }]);
});

test("a wish keeps its kind: a reading is asked as a reading, a difference as a difference", () => {
  const wish = (want: object) =>
    view({ look: [{ path: "setups[0].look[0]", point: "face", words: "", priority: "want",
      wants: [want] }] as unknown as SetupView["look"] });
  assert.deepEqual(edits.wishEdits(wish({ kind: "reads", key: "reads" }), "face", 0, 4 * 2 ** 0.1, () => 0),
    [{ set: "setups[0].look[0].reads", value: "f/4 + 0.2" }]);
  assert.deepEqual(edits.wishEdits(wish({ kind: "above", key: "by", to: "other" }), "face", -1.5, 4, () => 0.5),
    [{ set: "setups[0].look[0].by", value: "2 st" }]);
  assert.deepEqual(edits.wishEdits(view(), "face", 0.3, 4, () => 0),
    [{ set: "setups[0].look", value: "[{point: face, stops: +0.3 st}]" }]);
  assert.deepEqual(edits.wishEdits(wish({ kind: "darkest", key: "darkest" }), "face", -1, 4, () => 0),
    [{ delete: "setups[0].look[0].darkest" }, { set: "setups[0].look[0].stops", value: "-1 st" }]);
});

const readings = (): ReadingsView =>
  ({ index: 0, revision: 1, readings: { layers: [{}, {}], points: [{ stops: 1 }] }, look: [],
    units: [{ constant: 250, incident: [[0, 80, 0], [0, 600, 0]],
      picture: [[0, 8, 0], [0, 60, 0]] }] }) as unknown as ReadingsView;

test("light adds: a stop on the flash doubles its part and leaves the rest; the shutter does the reverse", () => {
  const v = view(), r = readings();
  const base = levels(v, r, { k: new Map() })[0]!; // 8·1/8 + 60/60 = 2 cd·s/m²: log2(2·0.18/0.18) = 1 stop
  assert.ok(Math.abs(base.stops - 1) < 1e-9);
  assert.ok(Math.abs(base.shares[0]! - 0.5) < 1e-9);
  assert.ok(Math.abs(levels(v, r, { k: new Map([["setups[0].lights[0]", 0.25]]) })[0]!.stops - Math.log2(3)) < 1e-9);
  assert.ok(Math.abs(levels(v, r, { k: new Map(), shutter: 1 / 30 })[0]!.stops - Math.log2(3)) < 1e-9);
  // A stop of aperture is a stop everywhere, and the meter does not care.
  const open = levels(v, r, { k: new Map(), aperture: 4 / Math.SQRT2 })[0]!;
  assert.ok(Math.abs(open.stops - 2) < 1e-9);
  assert.equal(open.f, base.f);
});

test("a ring without a wish follows the light; one that asks for an f-number stands where the meter would read it",
  () => {
  const r = readings(), lv = levels(view(), r, { k: new Map() });
  assert.equal(ringOf(view(), r, 0, lv).held, false);
  const look = [{ path: "w", point: "face", words: "reads f/4", priority: "must",
    wants: [{ kind: "reads", key: "reads", lo: 4, text: "f/4" }] }] as unknown as SetupView["look"];
  const ring = ringOf(view({ look }), r, 0, lv), here = lv[0]!;
  assert.ok(Math.abs(here.stops - ring.stops - 2 * Math.log2(here.f / 4)) < 1e-9);
  // A stop less of everything is a stop more that is missing: the
  // ring's place on the picture stays, the rung goes down.
  const half = ringOf(view({ look }), r, 0, [{ ...here, stops: here.stops - 1, f: here.f / Math.SQRT2 }]);
  assert.ok(Math.abs(half.stops - ring.stops) < 1e-9);
  // Dark: what the program said.
  r.look = [{ wants: [{ predicted: 5.6, miss_stops: 1, met: false }] }] as unknown as ReadingsView["look"];
  assert.equal(ringOf(view({ look }), r, 0, [{ ...here, stops: -Infinity, f: 0 }]).stops, 0);
});

test("a ring that may lie between two levels is met there and nowhere else", () => {
  const r = readings(), here = levels(view(), r, { k: new Map() })[0]!;
  const wants = [{ kind: "darkest", key: "darkest", lo: -5.5, text: "" }, { kind: "brightest", key: "brightest",
    hi: -1.5, text: "" }];
  const at = (stops: number) =>
    ringOf(view({ look: [{ path: "w", point: "face", words: "", priority: "want",
      wants }] as unknown as SetupView["look"] }), r, 0, [{ ...here, stops }]);
  assert.deepEqual([at(-0.8).stops, at(-0.8).met], [-1.5, false]);
  assert.deepEqual([at(-3).stops, at(-3).met], [-3, true]);
  assert.deepEqual([at(-7).stops, at(-7).met], [-5.5, false]);
});

test("a ring against another point goes with that point", () => {
  const r = readings(), here = { stops: 0, f: 4, shares: [], onPicture: true };
  const v = view({ look: [{ path: "w", point: "face", words: "", priority: "want",
    wants: [{ kind: "above", key: "above", lo: -2, to: "other", text: "" }] }] as unknown as SetupView["look"] });
  v.points.push({ ...v.points[0]!, name: "other" });
  const with_ = (f: number, stops: number) => ringOf(v, r, 0, [here, { ...here, f, stops }]);
  assert.ok(with_(8, 2).met); // the other reads two stops more
  assert.ok(Math.abs(with_(11.313708, 3).stops - 1) < 1e-6); // a stop more there asks for a stop more here
});

test("labels are pushed apart, keep their order and stay inside", () => {
  const y = spread([50, 51, 52, 300], 40, 20, 280);
  for (let i = 1; i < y.length; i++) assert.ok(y[i]! - y[i - 1]! >= 40 - 1e-6);
  assert.ok(y[0]! >= 20 - 1e-6 && y[3]! <= 280 + 1e-6);
});

test("labels of points stand clear of each other, inside the picture and off the face", () => {
  const box = opening(568, 834, 2 / 3);
  assert.ok(Math.abs(box.w / box.h - 2 / 3) < 1e-9);
  const marks = [[300, 300], [306, 304], [312, 296], [303, 320]].map(([x, y]) => (
    { x: x ?? 0, y: y ?? 0, w: 120, h: 22 })), face = { x: 280, y: 270, w: 60, h: 80 };
  const at = labelsAt(marks, marks.map((q) => [q.x, q.y] as const), box, face);
  const over = (a: typeof face, b: typeof face): boolean => a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h &&
    b.y < a.y + a.h;
  for (const [i, q] of at.entries()) {
    assert.ok(q.x >= box.x && q.x + q.w <= box.x + box.w && q.y >= box.y && q.y + q.h <= box.y + box.h,
      `${i} sticks out`);
    assert.ok(!over(q, face), `${i} lies on the face`);
    for (let k = 0; k < i; k++) assert.ok(!over(q, at[k]!), `${k} and ${i} lie over each other`);
  }
});

test("the editor sends one change at a time, drops what a drag overtook, and takes a stale answer's state",
  async () => {
  let revision = 1;
  const sent: Change[] = [];
  let release: (() => void)[] = [];
  const e = new Editor(() => revision, (s) => {
    revision = s.revision;
  }, (x) => { throw x as Error; }, () => undefined, async (c) => {
    sent.push(c);
    if (c.name === "stale" && c.revision < 9) throw new Refused("stale", 409,
        { error: "stale", state: { revision: 9 } as State });
    await new Promise<void>((r) => release.push(r));
    return { revision: c.revision + 1 } as State;
  });
  const step = async () => {
    const r = release;
    release = [];
    for (const f of r) f();
    await new Promise((x) => setTimeout(x, 5));
  };
  for (const x of ["1", "2", "3"]) e.edit("move", [{ set: "a.at", value: x }], "drag-1");
  await step();
  await step();
  assert.deepEqual(sent.map((c) => c.edits[0]?.value), ["1", "3"]);
  assert.deepEqual(sent.map((c) => c.revision), [1, 2]);
  e.edit("stale", [{ set: "b", value: "1" }]);
  await new Promise((x) => setTimeout(x, 5));
  await step();
  assert.deepEqual(sent.slice(2).map((c) => c.revision), [3, 9]);
  assert.equal(e.idle, true);
});

test("what is set calmly shows with the next change that is not", () => {
  const frames: (() => void)[] = [], seen: string[] = [], store = new Store((f) => frames.push(f));
  store.on((p, changed) => seen.push(`${[...changed].sort().join(" ")}: ${p.point}`));
  store.set({ point: 3 }, true);
  assert.equal(frames.length, 0);
  store.set({ light: "l" });
  store.set({ solo: "l" });
  frames.forEach((f) => f());
  assert.deepEqual(seen, ["light point solo: 3"]);
});
