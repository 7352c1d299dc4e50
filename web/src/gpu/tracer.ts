// The page's own tracer: buffers and passes on the graphics processor. What is computed stands in trace.wgsl and
// picture.wgsl.
import type { ExposureOf, GPUHead } from "../model/wire.ts";
import { carried, pack, type Places, type Scene } from "./scene.ts";
import pictureCode from "./picture.wgsl";
import textureCode from "./texture.wgsl";
import traceCode from "./trace.wgsl";

// Flags of the WebGPU standard, which the DOM's types leave out.
const usage = { read: 1, from: 4, to: 8, uniform: 64, storage: 128 } as const;
const stage = { fragment: 2, compute: 4 } as const;

const passes = 5; // of the filter
const mostVertices = 24; // of a path that finds no cell; without cells it is followed to its end
// Rounds in which the cells forget what they held: each adds a bounce, and an average over them would keep the dark of
// the first. By then what is missing is under 2 % where three quarters of the light go on at each bounce.
export const firstRounds = 14;
const FAR = 1e9; // metres: haze without a room has no end
const uniformSize = 544; // bytes of struct Uniforms of trace.wgsl
const mostBodies = 4;
const spare = 2; // times the room that what moves takes now

/** Most layers and bytes that are taken on. */
export const mostLayers = 32;
export const mostBytes = 512 << 20;

export interface Mixed {
  weight: readonly number[];
  exposure: ExposureOf;
  veil: readonly number[];
  rest: Float32Array<ArrayBuffer>;
  mask: number;
}

export class Tracer {
  readonly bytes: number;
  private at: Places;
  private guided = -1;
  private readonly counts: number[];
  private readonly cellCounts: number[];
  private readonly room: { nodes: number; tris: number; data: number };
  private readonly buffers: GPUBuffer[] = [];
  private readonly film: GPUBuffer;
  private readonly rest: GPUBuffer;
  private readonly uniforms: GPUBuffer;
  private readonly nodes: GPUBuffer;
  private readonly tris: GPUBuffer;
  private readonly shades: GPUBuffer;
  private readonly data: GPUBuffer;
  private readonly bound: { trace: GPUBindGroup; smooth: GPUBindGroup[]; develop: GPUBindGroup };
  private readonly filterUniforms: GPUBuffer[];
  private numbers: Float32Array<ArrayBuffer>;

  constructor(
    readonly code: Code,
    readonly whole: Scene,
    private last: Scene,
    readonly width: number,
    readonly height: number,
  ) {
    const { device } = code,
      head = whole.head,
      layers = head.layers.length,
      pixels = width * height;
    if (layers > mostLayers) throw new Error(`${layers} layers; at most ${mostLayers} are traced`);
    this.counts = new Array<number>(layers).fill(0);
    this.cellCounts = new Array<number>(layers).fill(0);
    const S = usage.storage,
      out = usage.from;
    const buffer = (size: number, use: number): GPUBuffer => {
      const b = device.createBuffer({ size: Math.max(64, Math.ceil(size / 16) * 16), usage: use | usage.to });
      this.buffers.push(b);
      return b;
    };
    const load = (list: ArrayBufferView<ArrayBuffer>, size: number): GPUBuffer => {
      const b = buffer(Math.max(size, list.byteLength), S);
      device.queue.writeBuffer(b, 0, list.buffer, list.byteOffset, list.byteLength);
      return b;
    };
    const nodes = whole.words("nodes"),
      tris = whole.words("tris"),
      shades = whole.words("shades");
    const more = (part: number, all: number): number => all + (spare - 1) * Math.max(1 << 16, all - part);
    this.room = {
      nodes: more(64 * head.node, nodes.byteLength),
      tris: more(48 * head.triangle, tris.byteLength),
      data: 0,
    };
    const small = pack(whole, last, code.windows);
    this.at = small.at;
    this.numbers = small.data;
    this.room.data = 2 * small.data.byteLength;
    this.uniforms = buffer(uniformSize, usage.uniform);
    this.nodes = load(nodes, this.room.nodes);
    this.tris = load(tris, this.room.tris);
    this.shades = load(shades, (this.room.tris / 48) * 32);
    this.data = load(small.data, this.room.data);
    const at = whole.floats("at"),
      places = whole.floats("places"),
      grid = buffer(at.byteLength + places.byteLength, S);
    device.queue.writeBuffer(grid, 0, at.buffer, at.byteOffset, at.byteLength);
    device.queue.writeBuffer(grid, at.byteLength, places.buffer, places.byteOffset, places.byteLength);
    this.film = buffer(pixels * layers * 16, S | out);
    const seen = buffer(pixels * 32, S),
      cells = buffer(2 * layers * head.cells * code.windows * 4, S);
    const ping = buffer(pixels * layers * 16, S | out),
      pong = buffer(pixels * layers * 16, S);
    this.rest = buffer(pixels * 16, S);
    this.filterUniforms = Array.from({ length: passes + 1 }, () => buffer(512, usage.uniform));
    this.bytes = this.buffers.reduce((n, b) => n + b.size, 0);
    const group = (layout: GPUBindGroupLayout, list: readonly [number, GPUBuffer][]): GPUBindGroup =>
      device.createBindGroup({ layout, entries: list.map(([binding, b]) => ({ binding, resource: { buffer: b } })) });
    const trace = [this.uniforms, this.nodes, this.tris, this.shades, this.data, this.film, seen, grid, cells];
    this.bound = {
      trace: group(
        code.layout.trace,
        trace.map((b, k) => [k, b]),
      ),
      // From the film to ping, to pong, to ping and so on; what is shown lies in ping after an odd number.
      smooth: this.filterUniforms.slice(0, passes).map((u, k) =>
        group(code.layout.smooth, [
          [0, u],
          [1, k === 0 ? this.film : k % 2 ? ping : pong],
          [2, k % 2 ? pong : ping],
          [3, seen],
        ]),
      ),
      develop: group(code.layout.develop, [
        [0, this.filterUniforms[passes] as GPUBuffer],
        [1, ping],
        [4, this.rest],
      ]),
    };
  }

  get head(): GPUHead {
    return this.last.head;
  }

  /** Samples of a pixel that every layer of a mask has at least. */
  samples(mask: number): number {
    return Math.min(...this.of(mask).map((l) => this.counts[l] ?? 0));
  }

  /** Takes what moved; false where it does not fit, so that the whole scene is to be asked for. */
  change(diff: Scene): boolean {
    const { queue } = this.code.device,
      h = diff.head,
      nodes = diff.words("nodes"),
      tris = diff.words("tris"),
      shades = diff.words("shades");
    if (64 * h.node + nodes.byteLength > this.room.nodes || 48 * h.triangle + tris.byteLength > this.room.tris)
      return false;
    if (h.layers.length !== this.counts.length) return false;
    const small = pack(this.whole, diff, this.code.windows);
    if (small.data.byteLength > this.room.data) return false;
    const write = (b: GPUBuffer, at: number, list: Uint32Array | Float32Array): void => {
      if (list.length) queue.writeBuffer(b, at, list.buffer as ArrayBuffer, list.byteOffset, list.byteLength);
    };
    write(this.nodes, 64 * h.node, nodes);
    write(this.tris, 48 * h.triangle, tris);
    write(this.shades, 32 * h.triangle, shades);
    write(this.data, 0, small.data);
    this.at = small.at;
    this.numbers = small.data;
    this.guided = -1;
    this.last = diff;
    return true;
  }

  /** Forgets the pixels of layers. Where their lights moved, what the cells know fades as it is gathered anew. */
  forget(mask: number, moved = false): void {
    const bytes = this.width * this.height * 16;
    this.submit((e) => {
      for (const l of this.of(mask)) {
        e.clearBuffer(this.film, l * bytes, bytes);
        this.counts[l] = 0;
        if (moved) this.cellCounts[l] = Math.min(this.cellCounts[l] ?? 0, firstRounds);
      }
    });
  }

  /** Asks the cells of layers for light, by so many paths each; what they knew fades as a light moves. */
  gather(mask: number, paths: number, seed: number, least: number): void {
    const known = Math.min(...this.of(mask).map((l) => this.cellCounts[l] ?? 0)),
      { cells } = this.whole.head;
    if (!cells) return;
    const blend = known < firstRounds ? 1 : least || 1 / (known - firstRounds + 2);
    this.uniform(mask, { first: known * paths, paths, seed, blend });
    this.submit((e) => {
      pass(e, this.code.gather, this.bound.trace, Math.ceil(cells / 64));
      pass(e, this.code.blend, this.bound.trace, Math.ceil((cells * this.code.windows) / 256), this.counts.length);
    });
    for (const l of this.of(mask)) this.cellCounts[l] = known + 1;
  }

  /** Adds a sample to every pixel of layers. */
  expose(mask: number, seed: number): void {
    const first = this.samples(mask);
    this.uniform(mask, { first, paths: 1, seed, blend: 1 });
    this.submit((e) =>
      pass(e, this.code.expose, this.bound.trace, Math.ceil(this.width / 8), Math.ceil(this.height / 8)),
    );
    for (const l of this.of(mask)) this.counts[l] = first + 1;
  }

  /** Filters the layers of a mask and draws the picture. */
  show(view: GPUTextureView, mix: Mixed): void {
    for (let k = 0; k <= passes; k++) this.filter(k, mix);
    const x = Math.ceil(this.width / 8),
      y = Math.ceil(this.height / 8);
    this.submit((e) => {
      this.bound.smooth.forEach((g) => pass(e, this.code.smooth, g, x, y, this.counts.length));
      const p = e.beginRenderPass({ colorAttachments: [{ view, loadOp: "clear", storeOp: "store" }] });
      p.setPipeline(this.code.develop);
      p.setBindGroup(0, this.bound.develop);
      p.draw(3);
      p.end();
    });
  }

  /** The sum of the layers that stay the program's, weighed. */
  setRest(rest: Float32Array<ArrayBuffer>): void {
    this.code.device.queue.writeBuffer(this.rest, 0, rest);
  }

  /** The mean of a layer's X, Y, Z over the frame, per unit, as it is traced: unfiltered. */
  async means(mask: number): Promise<Map<number, [number, number, number]>> {
    const film = await this.download(this.film),
      n = this.width * this.height,
      out = new Map<number, [number, number, number]>();
    for (const l of this.of(mask)) {
      const sum: [number, number, number] = [0, 0, 0];
      for (let i = 0; i < n; i++) for (let c = 0; c < 3; c++) sum[c]! += film[(l * n + i) * 4 + c] ?? 0;
      out.set(l, sum.map((v) => v / n / Math.max(1, this.counts[l] ?? 0)) as [number, number, number]);
    }
    return out;
  }

  /** Every pixel of a layer, X, Y, Z and nothing, per unit, unfiltered. */
  async layer(l: number): Promise<Float32Array> {
    const film = await this.download(this.film),
      n = this.width * this.height;
    return film.slice(l * n * 4, (l + 1) * n * 4).map((v) => v / Math.max(1, this.counts[l] ?? 0));
  }

  destroy(): void {
    for (const b of this.buffers) b.destroy();
  }

  private of(mask: number): number[] {
    return this.counts.map((_, l) => l).filter((l) => (mask >>> l) & 1);
  }

  private submit(work: (e: GPUCommandEncoder) => void): void {
    const e = this.code.device.createCommandEncoder();
    work(e);
    this.code.device.queue.submit([e.finish()]);
  }

  private async download(from: GPUBuffer): Promise<Float32Array> {
    const to = this.code.device.createBuffer({ size: from.size, usage: usage.to | usage.read });
    this.submit((e) => e.copyBufferToBuffer(from, 0, to, 0, from.size));
    await to.mapAsync(usage.read);
    const out = new Float32Array(to.getMappedRange().slice(0));
    to.destroy();
    return out;
  }

  /** What the tracing passes are told: struct Uniforms of trace.wgsl. */
  private uniform(mask: number, o: { first: number; paths: number; seed: number; blend: number }): void {
    const w = this.whole.head,
      h = this.last.head,
      at = this.at,
      L = h.lens; // the whole sensor over all pixels, as the program's layers have it
    if (mask !== this.guided) this.guide(mask);
    const b = new ArrayBuffer(uniformSize),
      u = new Uint32Array(b),
      f = new Float32Array(b);
    u.set([this.width, this.height, o.first, 1, o.seed, mask, this.counts.length, at.emitters]);
    u.set([at.mat, at.emit, at.fold, at.layer, at.table, at.sheen, at.guide, h.guides], 8);
    const ints = new Int32Array(b);
    ints.set([w.roots[0], h.roots[1], w.roots[2], Math.min(mostBodies, w.bodies.length)], 16);
    w.bodies.slice(0, mostBodies).forEach((body, k) => {
      const { turn, shift, moved } = carried(body, h.bodies[k] ?? body);
      ints.set([...body.roots, moved ? 1 : 0, 0], 84 + 4 * k);
      f.set([Math.cos(turn), Math.sin(turn)], 84 + 4 * (mostBodies + k));
      f.set(shift, 84 + 4 * (2 * mostBodies + k));
    });
    f.set([...L.at, h.eps, ...L.right, L.width, ...L.up, L.height, ...L.axis, L.image], 20);
    const moved = w.panels !== h.panels || w.lights.some((k, l) => k !== h.lights[l]);
    f.set([L.focus, L.radius, L.blades, w.cell, ...L.shift, moved ? 1 : 0, 0], 36);
    f.set([...w.clear_lo, 0, ...w.clear_hi, 0, ...w.grid_lo, 0], 44);
    u.set([...w.grid, w.cells, w.cells ? 1 : 0, w.cells ? mostVertices : 64, o.paths, 1], 56);
    const haze = h.haze ?? [0, 0, 0],
      [x0 = -FAR, y0 = -FAR, z0 = -FAR, x1 = FAR, y1 = FAR, z1 = FAR] = haze.slice(3);
    f.set([o.blend, 0, 0, 0, ...haze.slice(0, 3), 0], 64);
    f.set([x0, y0, z0, 0, x1, y1, z1, 0], 76);
    u.set([at.mirror, at.mirrors], 72);
    this.code.device.queue.writeBuffer(this.uniforms, 0, b);
  }

  /** Weighs the relays by the layers of a mask. */
  private guide(mask: number): void {
    const shares = this.last.floats("guideShares"),
      n = this.counts.length,
      at = this.at.guide * 4,
      all = this.of(mask),
      h = this.last.head;
    for (let g = 0; g < h.guides; g++) {
      for (let side = 0; side < 2; side++) {
        let sum = 0;
        for (const l of all)
          sum += (shares[(g * n + l) * 2 + side] ?? 0) * (all.length === n ? (h.layers[l]?.work ?? 1) : 1);
        this.numbers[at + 16 * g + 4 * side + 3] = sum;
      }
    }
    if (h.guides) this.code.device.queue.writeBuffer(this.data, at * 4, this.numbers, at, 16 * h.guides);
    this.guided = mask;
  }

  /** What a pass of the filter, or the last one, is told: struct Uniforms of picture.wgsl. */
  private filter(k: number, mix: Mixed): void {
    const b = new ArrayBuffer(512),
      u = new Uint32Array(b),
      f = new Float32Array(b),
      x = mix.exposure,
      t = x.tone;
    u.set([this.width, this.height, this.counts.length, mix.mask, 1 << Math.min(k, passes - 1), k, 0, 0]);
    const rows = (m: readonly number[], at: number): void => {
      for (let r = 0; r < 3; r++) f.set(m.slice(3 * r, 3 * r + 3), at + 4 * r);
    };
    rows(x.adapt, 8);
    rows(x.srgb, 20);
    f.set(
      [t.join, t.white, t.power, 1 - (t.glare || 0), t.sigmoid, t.half, t.scale, 0, ...mix.veil.slice(0, 3), 0],
      32,
    );
    this.counts.forEach((n, l) => {
      f[44 + l] = n ? (mix.weight[l] ?? 0) / n : 0;
      f[76 + l] = n;
    });
    this.code.device.queue.writeBuffer(this.filterUniforms[k] as GPUBuffer, 0, b);
  }
}

function pass(
  e: GPUCommandEncoder,
  pipeline: GPUComputePipeline,
  group: GPUBindGroup,
  x: number,
  y = 1,
  z = 1,
): void {
  const p = e.beginComputePass();
  p.setPipeline(pipeline);
  p.setBindGroup(0, group);
  p.dispatchWorkgroups(x, y, z);
  p.end();
}

/** The compiled passes of one device. */
export interface Code {
  device: GPUDevice;
  haze: boolean;
  /** Windows of the spectrum that a path carries. */
  windows: number;
  layout: { trace: GPUBindGroupLayout; smooth: GPUBindGroupLayout; develop: GPUBindGroupLayout };
  expose: GPUComputePipeline;
  gather: GPUComputePipeline;
  blend: GPUComputePipeline;
  smooth: GPUComputePipeline;
  develop: GPURenderPipeline;
}

/** Compiles the passes, with haze or without, for so many windows of the spectrum; some seconds the first time. */
export async function compile(
  device: GPUDevice,
  haze: boolean,
  format: GPUTextureFormat,
  windows: number,
): Promise<Code> {
  const module = async (code: string): Promise<GPUShaderModule> => {
    const m = device.createShaderModule({ code });
    const bad = (await m.getCompilationInfo()).messages.find((x) => x.type === "error");
    if (bad) throw new Error(`${bad.lineNum}:${bad.linePos} ${bad.message}`);
    return m;
  };
  const [trace, picture] = await Promise.all([
    module(
      textureCode +
        traceCode
          .replace("const HAZE = false;", `const HAZE = ${haze};`)
          .replace("const NV = 4u;", `const NV = ${windows / 4}u;`),
    ),
    module(pictureCode),
  ]);
  const C = stage.compute,
    F = stage.fragment;
  const types = (list: readonly [number, GPUBufferBindingType, number][]): GPUBindGroupLayout =>
    device.createBindGroupLayout({
      entries: list.map(([binding, type, visibility]) => ({ binding, visibility, buffer: { type } })),
    });
  const r = "read-only-storage",
    w = "storage",
    u = "uniform";
  const layout = {
    trace: types(([u, r, r, r, r, w, w, r, w] as const).map((t, k) => [k, t, C])),
    smooth: types([
      [0, u, C],
      [1, r, C],
      [2, w, C],
      [3, r, C],
    ]),
    develop: types([
      [0, u, F],
      [1, r, F],
      [4, r, F],
    ]),
  };
  const whole = (l: GPUBindGroupLayout): GPUPipelineLayout => device.createPipelineLayout({ bindGroupLayouts: [l] });
  const compute = (l: GPUBindGroupLayout, m: GPUShaderModule, entryPoint: string): Promise<GPUComputePipeline> =>
    device.createComputePipelineAsync({ layout: whole(l), compute: { module: m, entryPoint } });
  const [expose, gather, blend, smooth, develop] = await Promise.all([
    compute(layout.trace, trace, "expose"),
    compute(layout.trace, trace, "gather"),
    compute(layout.trace, trace, "settle"),
    compute(layout.smooth, picture, "smooth_"),
    device.createRenderPipelineAsync({
      layout: whole(layout.develop),
      vertex: { module: picture, entryPoint: "corner" },
      fragment: { module: picture, entryPoint: "develop", targets: [{ format }] },
      primitive: { topology: "triangle-list" },
    }),
  ]);
  return { device, haze, windows, layout, expose, gather, blend, smooth, develop };
}
