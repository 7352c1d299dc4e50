// A scene for the page's own tracer, as the program sends it: a head in JSON, then lists of 32-bit numbers. See
// internal/server/gpu.go.
import type { GPUBody, GPUHead } from "../model/wire.ts";

/** Windows of the spectrum; numbers that a material and an emitter take: gpuMaterial, gpuEmitter of package trace. */
export const windows = 16;
export const materialSize = 208;
export const emitterSize = 48;
const mirrorSize = 16;

const tail = 120; // numbers of a material behind its five bands

export class Scene {
  constructor(
    readonly head: GPUHead,
    private readonly file: ArrayBuffer,
    private readonly first: number,
  ) {}

  /** How large it came. */
  get bytes(): number {
    return this.file.byteLength;
  }

  /** A section by its name; empty where there is none. */
  floats(name: string): Float32Array<ArrayBuffer> {
    const [at, n] = this.at(name);
    return new Float32Array(this.file, at, n);
  }

  words(name: string): Uint32Array<ArrayBuffer> {
    const [at, n] = this.at(name);
    return new Uint32Array(this.file, at, n);
  }

  private at(name: string): [number, number] {
    const s = this.head.sections.find((x) => x.name === name);
    return s ? [this.first + s.at, s.size / 4] : [this.first, 0];
  }
}

/** Takes a file apart. What is cut short is an error. */
export function read(file: ArrayBuffer): Scene {
  const n = new DataView(file).getUint32(0, true);
  if (4 + n > file.byteLength) throw new Error("the scene is cut short");
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 4, n))) as GPUHead;
  for (const s of head.sections)
    if (4 + n + s.at + s.size > file.byteLength) throw new Error("the scene is cut short");
  return new Scene(head, file, 4 + n);
}

/** Where each small list begins, in vectors of four. */
export interface Places {
  mat: number;
  emit: number;
  emitters: number;
  fold: number;
  layer: number;
  table: number;
  sheen: number;
  guide: number;
  mirror: number;
  mirrors: number;
}

/** Materials, emitters and folds. */
type Lists = readonly [Float32Array<ArrayBuffer>, Float32Array<ArrayBuffer>, Float32Array<ArrayBuffer>];

/** The scene's lists by half as many windows: neighbours are joined. */
function joined([mats, emitters, folds]: Lists): Lists {
  const pairs = (from: Float32Array, at: number, n: number, to: Float32Array, put: number,
    share: (k: number) => readonly [number, number]): void => {
    for (let k = 0; k < n / 2; k++) {
      const [a, b] = share(k);
      to[put + k] = a * (from[at + 2 * k] ?? 0) + b * (from[at + 2 * k + 1] ?? 0);
    }
  };
  const even = [0.5, 0.5] as const,
    both = [1, 1] as const,
    m = mats.slice(),
    e = emitters.slice(),
    f = new Float32Array(folds.length / 2);
  for (let at = 0; at < m.length; at += materialSize) {
    pairs(mats, at, 5 * windows, m, at, () => even);
    m.copyWithin(at + (5 * windows) / 2, at + 5 * windows, at + 5 * windows + tail);
  }
  pairs(folds, 0, folds.length, f, 0, () => both);
  for (let at = 0; at < e.length; at += emitterSize) {
    // As much luminance as before: an emitter's two windows count by what its layer folds to Y.
    const y = (3 * (emitters[at + 1] ?? 0) + 1) * windows;
    pairs(emitters, at + 32, windows, e, at + 32, (k) => {
      const a = folds[y + 2 * k] ?? 0, b = folds[y + 2 * k + 1] ?? 0;
      return a + b > 0 ? [a / (a + b), b / (a + b)] : even;
    });
  }
  return [m, e, f];
}

/**
 * Lays all small lists into one: materials and hair of the whole scene, lights and relays of what came last. n is how
 * many windows of the spectrum the tracer carries: all, or half of them.
 */
export function pack(whole: Scene, last: Scene, n: number = windows): {
  at: Places; data: Float32Array<ArrayBuffer>;
} {
  const full: Lists = [whole.floats("mats"), last.floats("emitters"), last.floats("folds")],
    [mats, emitters, folds] = n === windows ? full : joined(full);
  const lists = [last.floats("tables"), whole.floats("sheens"), last.floats("guides"), last.floats("mirrors")] as const;
  const round = (v: number): number => Math.ceil(v / 4) * 4,
    layers = last.head.layers;
  const count =
    materialSize +
    mats.length +
    emitters.length +
    folds.length +
    4 * layers.length +
    lists.reduce((sum, l) => sum + round(l.length), 0);
  const data = new Float32Array(count);
  let end = 0;
  const put = (list: Float32Array): number => {
    const at = end / 4;
    data.set(list, end);
    end += round(list.length);
    return at;
  };
  const white = new Float32Array(5 * n + tail); // a white surface, the receptor of a cell, before the others
  white.fill(1, 0, n);
  put(white);
  const perMaterial = 5 * n + tail,
    mat = end / 4;
  for (let m = 0; m < mats.length; m += materialSize) put(mats.subarray(m, m + perMaterial));
  const perEmitter = 32 + n,
    emit = end / 4;
  for (let e = 0; e < emitters.length; e += emitterSize) put(emitters.subarray(e, e + perEmitter));
  const fold = put(folds),
    layer = end / 4;
  for (const l of layers) {
    let lm = 0;
    for (let e = l.first; e < l.first + l.emitters; e++) lm += emitters[e * emitterSize + 11] ?? 0;
    put(new Float32Array([l.first, l.emitters, l.work, lm]));
  }
  const [table, sheen, guide, mirror] = lists.map(put) as [number, number, number, number];
  return {
    at: {
      mat,
      emit,
      emitters: emitters.length / emitterSize,
      fold,
      layer,
      table,
      sheen,
      guide,
      mirror,
      mirrors: lists[3].length / mirrorSize,
    },
    data: data.slice(0, end),
  };
}

/** Layers lit in another way than before: of lights that moved; all where the camera, a panel or the haze did. */
export function changed(was: GPUHead, is: GPUHead): number {
  const all = is.layers.reduce((m, l, i) => (l.foreign ? m : m | (1 << i)), 0) >>> 0;
  if (was.still !== is.still || was.view !== is.view || was.panels !== is.panels) return all;
  return is.lights.reduce((m, k, i) => (k === was.lights[i] || is.layers[i]?.foreign ? m : m | (1 << i)), 0) >>> 0;
}

/** How a body goes from where it was listed to where it stands: a turn about the vertical, then a shift, metres. */
export function carried(was: GPUBody, is: GPUBody): {
  turn: number; shift: readonly [number, number, number]; moved: boolean;
} {
  const turn = is.yaw - was.yaw, c = Math.cos(turn), s = Math.sin(turn),
    [x = 0, y = 0, z = 0] = was.at, [u = 0, v = 0, w = 0] = is.at;
  return {
    turn, shift: [u - (c * x - s * y), v - (s * x + c * y), w - z],
    moved: turn !== 0 || x !== u || y !== v || z !== w,
  };
}

/** Whether some body stands elsewhere than where it was listed. */
export const bodiesMoved = (was: GPUHead, is: GPUHead): boolean =>
  was.bodies.some((b, k) => carried(b, is.bodies[k] ?? b).moved);
