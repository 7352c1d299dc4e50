import assert from "node:assert/strict";
import test from "node:test";
import type { GPUHead } from "../model/wire.ts";
import { bodiesMoved, carried, changed, emitterSize, materialSize, pack, read, windows } from "./scene.ts";

const layer = (first: number, foreign = false) => ({ first, emitters: 1, work: 2, foreign });
const head = (more: Partial<GPUHead> = {}): GPUHead =>
  ({
    still: "s",
    view: "v",
    panels: "p",
    lights: ["house", "a", "b"],
    layers: [layer(0, true), layer(1), layer(2)],
    sections: [],
    ...more,
  }) as unknown as GPUHead;

/** A file as the program writes it. */
function file(parts: Record<string, number[]>, h = head()): ArrayBuffer {
  let at = 0;
  const sections = Object.entries(parts).map(([name, v]) => {
    const s = { name, at, size: 4 * v.length };
    at += s.size;
    return s;
  });
  let text = JSON.stringify({ ...h, sections });
  while ((4 + text.length) % 16) text += " ";
  const out = new ArrayBuffer(4 + text.length + at),
    bytes = new Uint8Array(out);
  new DataView(out).setUint32(0, text.length, true);
  bytes.set(new TextEncoder().encode(text), 4);
  Object.values(parts).forEach((v, k) =>
    bytes.set(new Uint8Array(new Float32Array(v).buffer), 4 + text.length + (sections[k]?.at ?? 0)),
  );
  return out;
}

test("a scene is taken apart, and one that is cut short is an error", () => {
  const f = file({ folds: [1, 2, 3, 4], tables: [7] });
  assert.deepEqual([...read(f).floats("folds")], [1, 2, 3, 4]);
  assert.deepEqual([...read(f).floats("tables")], [7]);
  assert.equal(read(f).floats("none").length, 0);
  assert.throws(() => read(f.slice(0, f.byteLength - 4)), /cut short/);
  assert.throws(() => read(f.slice(0, 40)), /cut short/);
});

test("lists are packed where the tracer looks for them", () => {
  const numbers = (n: number, from: number): number[] => Array.from({ length: n }, (_, i) => from + i);
  const scene = read(
      file({
        mats: numbers(2 * materialSize, 1000),
        emitters: numbers(3 * emitterSize, 5000),
        folds: numbers(3 * 3 * windows, 9000),
        tables: [1, 2, 3],
        sheens: [4],
        guides: numbers(16, 20),
        mirrors: numbers(32, 40),
      }),
    ),
    { at, data } = pack(scene, scene),
    of = (v: number, n: number): number[] => [...data.slice(4 * v, 4 * v + n)];
  assert.deepEqual(of(0, 3), [1, 1, 1], "the white receptor of a cell stands first");
  assert.deepEqual(of(at.mat, 2), [1000, 1001]);
  assert.deepEqual(
    of(at.mat + 50, 2),
    [1000 + materialSize, 1001 + materialSize],
    "a material takes 50 vectors: MAT of trace.wgsl",
  );
  assert.deepEqual(of(at.emit + 12, 1), [5000 + emitterSize], "an emitter takes 12: EMIT");
  assert.equal(at.emitters, 3);
  assert.deepEqual(of(at.fold, 1), [9000]);
  assert.deepEqual(of(at.layer + 1, 4), [1, 1, 2, 5000 + emitterSize + 11], "first emitter, how many, work, lumens");
  assert.deepEqual(of(at.table, 4), [1, 2, 3, 0]);
  assert.deepEqual(of(at.sheen, 1), [4]);
  assert.deepEqual(of(at.guide, 1), [20]);
  assert.deepEqual([...of(at.mirror + 4, 1), at.mirrors], [56, 2], "a mirror takes 4 vectors: askImage");
});

test("half as many windows: bands are means, folds sums, an emitter keeps its luminance", () => {
  const mats = new Array<number>(materialSize).fill(0).map((_, i) => i),
    emitters = new Array<number>(emitterSize).fill(0),
    folds = new Array<number>(3 * windows).fill(0);
  emitters[32] = 3, emitters[33] = 1; // the first two windows
  folds[windows] = 1, folds[windows + 1] = 3; // of Y
  folds[2 * windows] = 5, folds[2 * windows + 1] = 7; // of Z
  const scene = read(file({ mats, emitters, folds, tables: [1] })),
    { at, data } = pack(scene, scene, windows / 2),
    of = (v: number, n: number): number[] => [...data.slice(4 * v, 4 * v + n)];
  assert.deepEqual(of(at.mat, 2), [0.5, 2.5]);
  assert.deepEqual(of(at.mat + 10, 2), [5 * windows, 5 * windows + 1], "five bands of two vectors, then the rest");
  assert.deepEqual(of(at.emit, 4 * 8 + 1).at(-1), (3 * 1 + 1 * 3) / 4);
  assert.deepEqual(of(at.fold + 2, 1), [4], "Y");
  assert.deepEqual(of(at.fold + 4, 1), [12], "Z");
});

test("what changed is the lights that moved, or all", () => {
  const was = head();
  assert.equal(changed(was, head()), 0);
  assert.equal(changed(was, head({ lights: ["house", "a", "c"] })), 4);
  assert.equal(changed(was, head({ view: "w" })), 6, "all but what the page cannot trace");
  assert.equal(changed(was, head({ panels: "q" })), 6);
  assert.equal(changed(was, head({ lights: ["other", "a", "b"] })), 0, "a foreign layer stays the program's");
});

test("a body is carried by its turn and place", () => {
  const was = { at: [1, 2, 0], yaw: 0.3, roots: [5, -1] },
    is = { at: [1.5, 1, 0.2], yaw: 0.3 + Math.PI / 2, roots: [-1, -1] };
  const { turn, shift, moved } = carried(was, is),
    go = ([x = 0, y = 0, z = 0]: number[]): number[] => [
      Math.cos(turn) * x - Math.sin(turn) * y + shift[0],
      Math.sin(turn) * x + Math.cos(turn) * y + shift[1],
      z + shift[2],
    ];
  const near = (a: number[], b: number[]): void => a.forEach((v, k) => assert.ok(Math.abs(v - (b[k] ?? 0)) < 1e-12));
  near(go(was.at), is.at); // its foot
  near(go([2, 2, 1]), [1.5, 2, 1.2]); // a metre to its right, by a quarter turn behind it
  assert.ok(moved);
  assert.ok(!carried(was, was).moved);
  assert.ok(bodiesMoved(head({ bodies: [was] }), head({ bodies: [is] })));
  assert.ok(!bodiesMoved(head({ bodies: [was] }), head({ bodies: [was] })));
});
