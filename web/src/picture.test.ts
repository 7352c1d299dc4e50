import assert from "node:assert/strict";
import { test } from "node:test";
import { cropMoved, cropShaped, typeAt } from "./model/crop.ts";
import { spotLevel } from "./model/spot.ts";
import { why } from "./model/why.ts";
import { settingTyped } from "./actions/edits.ts";
import { cameraValue, cropEdits } from "./actions/picture.ts";
import { duplicateEdits, freeName } from "./actions/setups.ts";
import { Pictures, pictureKey } from "./state/pictures.ts";
import { Store } from "./state/store.ts";
import { Editor } from "./state/wire.ts";
import { changed } from "./draw/change.ts";
import { layersAt } from "./draw/mix.ts";
import type { LightView, SetupView } from "./model/wire.ts";
import type { State } from "./model/answers.ts";
import type { Film } from "./state/store.ts";

test("a crop keeps inside the frame, keeps its shape where asked, and moves as a whole", () => {
  assert.deepEqual(cropMoved([0, 0, 1, 1], "e", -0.25, 0), [0, 0, 0.75, 1]);
  assert.deepEqual(cropMoved([0.1, 0.1, 0.6, 0.6], "move", 0.9, -0.9), [0.5, 0, 1, 0.5]);
  assert.deepEqual(cropMoved([0, 0, 1, 1], "w", 5, 0), [0.92, 0, 1, 1]);
  for (const grip of ["nw", "n", "ne", "e", "se", "s", "sw", "w"]) {
    const c = cropMoved([0.2, 0.2, 0.8, 0.6], grip, -0.13, 0.11, 1, 1.5); // square in a frame of 3:2
    assert.ok(Math.abs(((c[2] - c[0]) * 1.5) / (c[3] - c[1]) - 1) < 0.01, `${grip} ${c}`);
    assert.ok(c[0] >= 0 && c[1] >= 0 && c[2] <= 1 && c[3] <= 1, `${grip} ${c}`);
  }
  // 4:5 in an upright frame of 2:3: the whole width, 5/6 of the height
  const a = cropShaped([0, 0, 1, 1], 4 / 5, 2 / 3);
  assert.ok(Math.abs(a[3] - a[1] - 5 / 6) < 0.002 && a[0] === 0 && a[2] === 1);
  assert.deepEqual(cropShaped([0, 0, 0.5, 1], 0, 1.5), [0, 0, 1, 1]);
});

const view = (crop: number[]): SetupView => ({ camera: { path: "setups[0].camera", crop } }) as unknown as SetupView;

test("the whole frame is no crop in the file", () => {
  assert.deepEqual(cropEdits(view([0, 0, 1, 1]), [0, 0, 1, 1]), []);
  assert.deepEqual(cropEdits(view([0, 0, 0.5, 1]), [0, 0, 1, 1]), [{ delete: "setups[0].camera.crop" }]);
  assert.deepEqual(cropEdits(view([0, 0, 1, 1]), [0.1, 0, 0.9, 1]),
    [{ set: "setups[0].camera.crop", value: "[0.1, 0, 0.9, 1]" }]);
});

test("camera settings are understood as a person writes them, and nothing else is", () => {
  for (const [key, text, want] of [["aperture", "5,6", "f/5.6"], ["aperture", "f/4 + 0.3", "f/4 + 0.3"],
      ["aperture", "F8", "f/8"], ["shutter", "250", "1/250 s"], ["shutter", "1/60", "1/60 s"],
      ["shutter", "2 s", "2 s"], ["shutter", "0,5 s", "0.5 s"], ["iso", "ISO 800", "800"],
      ["white balance", "5200", "5200 K"], ["lens", "85", "85 mm"]] as const) assert.equal(cameraValue(key, text),
      want, text);
  for (const [key, text] of [["aperture", "wide"], ["shutter", "fast"], ["iso", "auto"], ["white balance", "52"],
      ["lens", "long"], ["shutter", ""]] as const) assert.equal(cameraValue(key, text), null, text);
});

test("a copy of a setup has a name of its own and stands behind it", () => {
  assert.equal(freeName("Aisle", ["Aisle"]), "Aisle 2");
  assert.equal(freeName("Aisle 2", ["Aisle", "aisle 2", "Aisle 3"]), "Aisle 4");
  const s = { setups: [{ name: "A" }, { name: "B" }] } as State;
  assert.deepEqual(duplicateEdits(s, 0),
    { name: "A 2", edits: [{ copy: "setups[0]", value: "1" }, { set: "setups[1].name", value: "A 2" }] });
  assert.equal(duplicateEdits(s, 5), null);
});

const lamp = (x: Partial<LightView>): LightView => ({ name: "key", role: "key", called: "key", house: false,
  lock: false, headroom_stops: 1, down_stops: 3, layer: 0, path: "k", flash: true, k: 1, ...x }) as LightView;

test("why a ring is missed: light adds, so a light with half of it and one stop up gains log2(1.5)", () => {
  const tubes = lamp({ name: "tubes", role: "", called: "tubes", house: true });
  assert.match(why(-2, [0.5, 0.5], [lamp({}), tubes]), /^key at full leaves 1\.4$/); // 2 − log2(1.5) = 1.415
  assert.match(why(-0.5, [0.5, 0.5], [lamp({}), tubes]), /^balance can raise key$/); // 0.585 is enough
  assert.equal(why(-1, [0.5, 0.5], [lamp({ headroom_stops: 0 }), tubes]), "key is at full");
  assert.match(why(1, [0.2, 0.8], [lamp({}), tubes]), /^tubes gives 80 %/);
  assert.equal(why(-1, [0, 1], [lamp({}), tubes]), "only lights of the house reach it");
  // The hair light is there for the hair edge, though the key gives more of it as it is.
  const hair = lamp({ name: "hair", role: "hair", called: "hair", headroom_stops: 5 });
  assert.equal(why(-2.8, [0.7, 0.3], [lamp({ headroom_stops: 3 }), hair], "hair edge"), "balance can raise hair");
  assert.equal(why(-1, [0.7, 0.3], [lamp({ headroom_stops: 3 }), hair], "chest"), "balance can raise key");
});

test("a spot is weighed from its layers: mid-grey is 0 stops, and shares add to one", () => {
  const v = { camera: { aperture: { value: 4 }, shutter: { value: 0.5 }, iso: { value: 100 }, sync: 0,
    flash_lit_share: 1, exposure: { factor: 0.18 } },
    lights: [lamp({}), lamp({ name: "tubes", layer: 1, path: "t", flash: false,
      house: true })] } as unknown as SetupView;
  // 0.75 cd·s/m² of flash and 0.5 cd/m² for half a second
  const s = spotLevel(v, { k: new Map() }, "", [0.75, 0.5], 12.5);
  assert.ok(s && Math.abs(s.stops) < 1e-9 && Math.abs(s.lights.reduce((a, l) => a + l.share, 0) - 1) < 1e-9);
  assert.ok(s && Math.abs(s.f - Math.sqrt((1 * 100) / 12.5)) < 1e-9); // N² = L·t·S/K (ISO 2720)
  assert.equal(s?.lights[0]?.light.name, "key");
  assert.ok(Math.abs((s?.lights[0]?.stops ?? 0) - Math.log2(0.75)) < 1e-9);
});

test("the layers at a spot come with their scales, from the pixels round it", () => {
  const data = new Uint16Array(2 * 2 * 2 * 3).fill(0x3c00); // ones
  const f = { head: { w: 2, h: 2, layers: [{ scale: 2 }, { scale: 0.5 }] }, data } as unknown as Film;
  assert.deepEqual(layersAt(f, 0.99, 0), [2, 0.5]);
});

test("small pictures come one at a time, coarse first; what is not wanted is stopped, what failed says why",
  async () => {
  const store = new Store((f) => f()), asked: string[] = [], go: ((url: string) => void)[] = [], gone: string[] = [];
  const p = new Pictures(store, (w, signal, coarse) => new Promise((ok, no) => {
    asked.push(`${w.setup} ${coarse ? "coarse" : "fine"}`);
    go.push(ok);
    signal.addEventListener("abort", () => no(new Error("stopped")));
  }), (url) => gone.push(url));
  const wish = (i: number) => ({ key: pictureKey(i, 1, [], 200), setup: i, revision: 1, edits: [], side: 200 }),
    shown = (i: number) => store.page.pictures.get(wish(i).key),
    then = (n: number, url: string) => { go[n]?.(url); return new Promise((r) => setTimeout(r, 1)); };
  p.want([wish(0), wish(1)]);
  assert.deepEqual(asked, ["0 coarse"]);
  await then(0, "blob:0");
  assert.equal(shown(0), "blob:0");
  await then(1, "blob:1");
  assert.deepEqual(asked, ["0 coarse", "1 coarse", "0 fine"]);
  await then(2, "blob:2");
  assert.deepEqual([shown(0), gone], ["blob:2", ["blob:0"]]);
  p.want([wish(2)]); // the finer picture of 1 is stopped, its coarse one stays
  await new Promise((r) => setTimeout(r, 1));
  assert.equal(shown(1), "blob:1");
  await then(4, "!no camera");
  assert.equal(shown(2), "!no camera");
  p.want([wish(0), wish(1), wish(2)]); // what is there is not asked for again
  assert.deepEqual(asked, ["0 coarse", "1 coarse", "0 fine", "1 fine", "2 coarse", "1 fine"]);
});

test("a change made while the program does not answer waits and is sent when it is back", async () => {
  let up = false;
  const got: string[] = [];
  const e = new Editor(() => 1, () => undefined, (x) => { throw x as Error; }, () => undefined, async (c) => {
    if (!up) throw new TypeError("failed to fetch");
    got.push(c.name);
    return { revision: 2 } as State;
  }, () => null, () => new Promise((r) => setTimeout(r, 2)));
  e.edit("first", [{ set: "a", value: "1" }]);
  e.edit("second", [{ set: "b", value: "1" }]);
  await new Promise((r) => setTimeout(r, 12));
  assert.deepEqual([got, e.open, e.idle], [[], 2, false]);
  up = true;
  await new Promise((r) => setTimeout(r, 20));
  assert.deepEqual([got, e.idle], [["first", "second"], true]);
});

test("a setting is typed in the head's own unit; what it cannot do is refused", () => {
  const flash = lamp({ setting_path: "k.power", stops: -3, down_stops: 5,
    dial: [{ text: "1/1", stops: 0 }, { text: "1/8 + 0.3", stops: -2.7 }, { text: "1/8", stops: -3 },
      { text: "1/256", stops: -8 }] });
  assert.deepEqual(settingTyped(flash, "1/8 + 0,3"), [{ set: "k.power", value: "1/8 + 0.3" }]);
  assert.deepEqual(settingTyped(flash, "1/1"), [{ set: "k.power", value: "1/1" }]);
  for (const bad of ["1/512", "2/1", "60 %", "", "full", "1/1 + 0.5"])
    assert.equal(settingTyped(flash, bad), null, bad);
  const led = lamp({ flash: false, setting_path: "k.level", stops: -1, down_stops: 4,
    dial: [{ text: "100 %", stops: 0 }, { text: "50 %", stops: -1 }, { text: "2 %", stops: Math.log2(0.02) }] });
  assert.deepEqual(settingTyped(led, "50"), [{ set: "k.level", value: "50 %" }]);
  assert.equal(settingTyped(led, "120 %"), null);
});

test("a cover's type: title above, lines at their side, nothing beside them or outside", () => {
  const k = { path: "", title: 0.24, margin: 0.04, lines: "left" as const, column: 0.3 };
  assert.deepEqual([typeAt(k, 0.5, 0.1), typeAt(k, 0.1, 0.5), typeAt(k, 0.5, 0.5), typeAt(k, 0.9, 0.5),
    typeAt(k, 1.1, 0.1)], ["title", "lines", "", "", ""]);
  assert.equal(typeAt({ ...k, lines: "both" }, 0.9, 0.5), "lines");
});

test("small pictures are cut to where they differ: a change in a corner, not grain; nothing where they are alike",
  () => {
  const w = 64, h = 96, a = new Uint8ClampedArray(w * h * 4).fill(100), b = a.slice();
  for (let i = 0; i < b.length; i++) b[i] = 100 + ((i * 7919) % 9) - 4; // grain that cancels
  assert.equal(changed(a, b, w, h), null);
  for (let y = 4; y < 16; y++) for (let x = 48; x < 60; x++) b.fill(180, (y * w + x) * 4, (y * w + x) * 4 + 3);
  const part = changed(a, b, w, h);
  assert.ok(part && part[0] > 0.5 && part[1] === 0 && part[2] === part[3] && part[2] < 0.5, `${part}`);
});
