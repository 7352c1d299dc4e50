import assert from "node:assert/strict";
import { cpuUsage } from "node:process";
import { test } from "node:test";
import { Mixer, type Mix } from "./mix.ts";
import { encode } from "../units/colour.ts";
import type { Film } from "../state/store.ts";

/** A canvas that keeps what is put. */
function canvas(): { c: HTMLCanvasElement; seen: () => Uint8ClampedArray } {
  let last = new Uint8ClampedArray();
  const cx = {
    createImageData: (w: number, h: number) => ({ width: w, height: h, data: new Uint8ClampedArray(4 * w * h) }),
    putImageData: (im: { data: Uint8ClampedArray }) => { last = im.data.slice(); },
  };
  return { c: { width: 3, height: 2, getContext: () => cx,
    addEventListener: () => undefined } as unknown as HTMLCanvasElement, seen: () => last };
}

const one = 0x3c00, half = 0x3800, quarter = 0x3400; // half floats

const film = (): Film => ({
  head: { w: 2, h: 1, layers: [{}, {}, {}] } as unknown as Film["head"],
  data: new Uint16Array([one, one, one, half, half, half, half, half, half, quarter, quarter, quarter, quarter,
    quarter, quarter, one, one, one]),
});

const eye = [1, 0, 0, 0, 1, 0, 0, 0, 1];
const mix = (weight: number[], stops = false): Mix => (
  { weight, exposure: { adapt: eye, srgb: eye, tone: { join: 1, white: 1, power: 1 } } as unknown as Mix["exposure"],
    stops, clip: 3, floor: -9 });

test("layers add: each by its weight, then the display's curve", () => {
  const k = canvas(), m = new Mixer(k.c, true);
  m.load(film());
  m.paint(mix([0.25, 0.5, 0]));
  // (0.25·1 + 0.5·0.5, 0.25·0.5 + 0.5·0.25)
  assert.deepEqual([...k.seen()].filter((_, i) => i % 4 === 0), [0.5, 0.25].map((v) => Math.round(255 * encode(v))));
});

test("a sum that is changed by differences is what a new one is", () => {
  const a = canvas(), b = canvas(), m = new Mixer(a.c, true);
  m.load(film());
  for (const w of [[0.3, 0.2, 0.1], [0.3, 0.4, 0.1], [0, 0.4, 0.1], [0.15, 0.4, 0.1]]) {
    m.paint(mix(w));
    const fresh = new Mixer(b.c, true);
    fresh.load(film());
    fresh.paint(mix(w));
    // rounding of 32-bit sums
    for (const [i, v] of a.seen().entries()) assert.ok(Math.abs(v - (b.seen()[i] ?? 0)) <= 1, `${w}: ${i}`);
  }
});

test("a picture of 960 × 640 and eight layers: one light changed costs less than all of them anew", () => {
  const n = 960 * 640, data = new Uint16Array(8 * 3 * n);
  for (let i = 0; i < data.length; i++) data[i] = 0x2c00 + ((i * 7919) & 1023);
  const k = canvas(), m = new Mixer(k.c, true), w = [1, 1, 1, 1, 1, 1, 1, 1];
  m.load({ head: { w: 960, h: 640, layers: w.map(() => ({})) } as unknown as Film["head"], data });
  m.paint(mix(w));
  const took = (set: (i: number) => number[], moving = false): number => {
    let best = Infinity;
    for (let i = 0; i < 5; i++) {
      const t = cpuUsage();
      m.paint(mix(set(i)), moving);
      best = Math.min(best, cpuUsage(t).user / 1000); // of the processor: others may be busy on it
    }
    return best;
  };
  const one = took((i) => w.map((v, l) => (l === 3 ? 1 + 0.01 * (i + 1) : v))),
    all = took((i) => w.map((v) => v + 0.01 * (i + 1)));
  assert.deepEqual([k.c.width, k.c.height], [960, 640]);
  // A hand that moves all of them, as the hour does: a quarter of the pixels, then whole again.
  const moving = took((i) => w.map((v) => v + 0.02 * (i + 1)), true);
  assert.deepEqual([k.c.width, k.c.height], [480, 320]);
  console.log(`one light ${one.toFixed(0)} ms, all lights ${all.toFixed(0)} ms, moving ${moving.toFixed(0)} ms`);
  assert.ok(one < 0.8 * all, `${one} against ${all}`);
  assert.ok(moving < 0.6 * all, `${moving} against ${all}`);
  const small = k.seen().slice(0, 4);
  m.paint(mix(w.map((v) => v + 0.1)));
  assert.deepEqual([k.c.width, k.c.height], [960, 640]);
  assert.deepEqual([...k.seen().slice(0, 4)], [...small]); // the same pixel in the same light
});

test("stops: one tone for each whole stop", () => {
  const k = canvas(), m = new Mixer(k.c, true);
  m.load(film());
  m.paint(mix([0.2, 0, 0], true));
  const tones = [...k.seen()].filter((_, i) => i % 4 === 0);
  assert.equal(tones[0], Math.round(255 * encode(0.18 * 2 ** 0.5))); // 0.2 lies in the stop over 0.18
  assert.equal(tones[1], Math.round(255 * encode(0.18 * 2 ** -0.5)));
});
