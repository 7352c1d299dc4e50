import assert from "node:assert/strict";
import { test } from "node:test";
import type { LightView, PlaceView, SetupView } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { addCameraEdits, addLightEdits, addSitterEdits, aimEdits, freeEdits, heldAs, keepEdits, lockEdits, partEdits,
  settingTyped, whiteBalanceStep, wishRead } from "./edits.ts";
import { begin, openingAt, openingEdits, paint, put, thingAt, thingEdits, typedWall, wallEdits } from "./placing.ts";

const room: [number, number][] = [[0, 0], [6, 0], [6, 4], [0, 4]];
const view = (more: object = {}): SetupView => ({ path: "setups[0]", room: { outline: room, ceiling: 2.6, windows: [],
  doors: [] }, lights: [], look: [], points: [], off: [], ...more }) as unknown as SetupView;
const light = (more: Partial<LightView> = {}): LightView => ({ path: "setups[0].lights[0]", name: "key", role: "key",
  called: "key", flash: true, setting_path: "setups[0].lights[0].power", stops: -3, down_stops: 5, gels: [],
  modifier: "",
  grid: "", dial: [0, -1, -2, -3, -4, -5, -6, -7, -8].map((s) => ({ text: `1/${2 ** -s}`, stops: s })),
  ...more }) as LightView;

test("a setting is read as a person writes it", () => {
  const set = (t: string): unknown => settingTyped(light(), t)?.[0];
  assert.deepEqual(set("1/8"), { set: "setups[0].lights[0].power", value: "1/8" });
  assert.deepEqual(set("1/8+0.9"), { set: "setups[0].lights[0].power", value: "1/4" }, "nearest on the dial");
  assert.deepEqual(set("1/4 \u2212 0,9"), { set: "setups[0].lights[0].power", value: "1/8" });
  for (const bad of ["", "2", "1/512", "f/4", "1/8 + x"]) assert.equal(set(bad), undefined, bad);
  const led = light({ flash: false, dial: [{ text: "100 %", stops: 0 }, { text: "50 %", stops: -1 }] });
  assert.deepEqual(settingTyped(led, "50 %"), [{ set: led.setting_path, value: "50 %" }]);
});

test("a wish is read as stops from mid-grey or as a reading", () => {
  assert.deepEqual(wishRead("\u22121,5 st"), { stops: -1.5 });
  assert.deepEqual(wishRead("f/4"), { f: 4 });
  // 5.6 is engraved for 4·√2 (ISO 517); three tenths more
  assert.ok(Math.abs((wishRead("f/5.6 + 0.3")?.f ?? 0) / (Math.sqrt(32) * 2 ** 0.15) - 1) < 1e-9);
  assert.equal(wishRead("bright"), null);
  assert.equal(wishRead("40 st"), null);
});

test("white balance steps in mired, within what a camera has", () => {
  assert.equal(whiteBalanceStep("5000 K", 1), "5210 K"); // 200 − 8 = 192 mired
  assert.equal(whiteBalanceStep("1700 K", -1), "1700 K");
  assert.equal(whiteBalanceStep("as the camera has it", 1), null);
});

test("parts go in by name and come out where there is one", () => {
  assert.deepEqual(partEdits(light(), "modifier", "octa 90"),
    [{ set: "setups[0].lights[0].modifier", value: "octa 90" }]);
  assert.deepEqual(partEdits(light(), "grid", ""), []);
  assert.deepEqual(partEdits(light({ grid: "30°" }), "grid", ""), [{ delete: "setups[0].lights[0].grid" }]);
  assert.deepEqual(lockEdits(light({ lock: true })), [{ set: "setups[0].lights[0].lock", value: "false" }]);
  assert.deepEqual(aimEdits("x", [1, 2, 3]), [{ set: "x.aim", value: "[1, 2, 3]" }]);
});

test("what is added stands in the room and is written as the file has lists", () => {
  assert.match(addLightEdits(view(), "battery head 500")[0]?.value ?? "", /^\[\{role: fill, head: battery head 500/);
  assert.equal(addLightEdits(view({ lights: [light()] }), "x")[0]?.append, "setups[0].lights");
  assert.match(addSitterEdits(view())[0]?.value ?? "", /at: \[3, 2\]/, "in the middle of 6 × 4 m");
  const at = /at: \[([\d.]+), /.exec(addCameraEdits(view({ sitter: { at: [5, 2] } }))[0]?.value ?? "");
  assert.ok(Number(at?.[1]) <= 6, "the camera is not put through the wall");
  assert.deepEqual(keepEdits(view(), "sign", [1, 2, 3]),
    [{ set: "setups[0].points", value: "[{name: sign, at: [1, 2, 3], receptor: spot}]" }]);
});

test("a freed point loses its wish, and the list with its last", () => {
  const wish = (n: number): SetupView =>
    view({ look: Array.from({ length: n }, (_, i) => ({ path: `setups[0].look[${i}]`,
    point: i ? "wall" : "face", wants: [{ kind: "reads", key: "reads" }] })) });
  assert.deepEqual(freeEdits(wish(1), "face"), [{ delete: "setups[0].look" }]);
  assert.deepEqual(freeEdits(wish(2), "face"), [{ delete: "setups[0].look[0]" }]);
  assert.deepEqual(freeEdits(wish(1), "hand"), []);
  assert.deepEqual(heldAs(wish(1), "face", -1, 4), { point: "face", kind: "reads", value: 4 });
  assert.deepEqual(heldAs(wish(1), "hand", -1, 4), { point: "hand", kind: "stops", value: -1 });
});

test("an opening goes into the wall that is near, furniture with its back to it", () => {
  assert.deepEqual(openingAt(room, "door", [3, 0.2], 1), { wall: 1, from: 2.55, width: 0.9 });
  assert.deepEqual(openingAt(room, "window", [0.1, 0.1], 1)?.from, 0, "it does not run past the corner");
  assert.equal(openingAt(room, "door", [3, 2], 1), null);
  assert.deepEqual(thingAt(room, [2, 0.6, 1], [3, 0.5]), { x: 2, y: 0, w: 2, d: 0.6 });
  assert.deepEqual(thingAt(room, [2, 0.6, 1], [5.8, 2]), { x: 5.4, y: 1, w: 0.6, d: 2 });
  assert.deepEqual(thingAt(room, [2, 0.6, 1], [5.5, 0.2]), { x: 4, y: 0, w: 2, d: 0.6 }); // not past the corner
  assert.match(openingEdits(null, "window", { wall: 1, from: 1, width: 1.2 }, 2)[0]?.value ??
    openingEdits(null, "window", { wall: 1, from: 1, width: 1.2 }, 2)[0]?.append ?? "", /./);
  const t = { kind: "table", size: [2, 0.6, 0.75], surface: "light wood" } as unknown as PlaceView["things"][number];
  assert.match(thingEdits(null, t, { x: 1, y: 0, w: 2, d: 0.6 })[0]?.value ?? "",
    /box: \{at: \[1, 0\], size: \[2, 0.6, 0.75\]\}/);
});

test("walls are written anticlockwise, and what stood in a wall that is no more goes", () => {
  const v = view({ room: { outline: room, ceiling: 2.6, doors: [],
    windows: [{ path: "room.windows[0]", wall: 4, from: 0,
    width: 1 }, { path: "room.windows[1]", wall: 1, from: 0, width: 1 }] } });
  const edits = wallEdits(null, v, [[0, 0], [0, 3], [3, 0]]); // clockwise, three walls
  assert.ok(edits.some((e) => e.delete === "room.windows[0]") && !edits.some((e) => e.delete === "room.windows[1]"));
  assert.match(JSON.stringify(edits), /\[\[3, 0\], \[0, 3\], \[0, 0\]\]/);
});

test("walls drawn by presses and by lengths typed", () => {
  const sent: string[] = [], page = { placing: "", sketch: null, ghost: null, place: {}, view: view(),
    setup: 0 } as unknown as Record<string, unknown>;
  const d = { store: { page, set: (x: object) => Object.assign(page, x) }, say: () => undefined,
    forms: { root: null, outline: () => room, send: (name: string) => { sent.push(name); } } } as unknown as Desk;
  begin(d, "walls");
  put(d, [0, 0], false, false);
  page["ghost"] = [2, 0.02];
  typedWall(d, 4.25);
  assert.deepEqual(page["sketch"], [[0, 0], [4.25, 0]], "as long as typed, square to the room");
  put(d, [4.25, 3], false, false);
  put(d, [0.1, 0.1], true, false); // back at the first corner
  assert.deepEqual(sent, ["draw the walls"]);
  assert.equal(page["placing"], "");
  begin(d, "door");
  put(d, [3, 2], false, false);
  assert.match(String(page["toast"]), /stands in a wall/);
  put(d, [3, 0.1], false, false);
  paint(d, "floor", "grey lino");
  assert.deepEqual(sent, ["draw the walls", "add door", "floor: grey lino"]);
});
