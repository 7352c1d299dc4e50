// Holds the page's tracer against the program and times it, without a browser.
//   node livebench.mjs PROGRAM SHOOT|demo... [--samples N] [--size WxH] [--reference N] [--bundle FILE]
// It starts PROGRAM open on each shoot, reads scene and layers of every setup, traces both halves of the samples,
// and prints each layer's mean over the program's with its standard error, then milliseconds a frame.
// MOVE='OLD=>NEW': the scene is read with OLD in the shoot's text, which is then changed, so that what moved is traced. TILES=1: holds each layer
// tile by tile. SAME=FOLDER: only a few samples, the same anywhere; their pixels are written there, or held against those that lie there.
// TIME=1: times frames too. DUMP=FOLDER: writes each layer's pixels there. WINDOWS=8: half as many windows. GRID=3: shows by blocks where a layer differs by over 3 %. SETUP=N: from setup N on. WHOLE=1: no cells, every path to its end. BUNDLE_ONLY=1: only writes FILE, for a machine
// without esbuild.
// WebGPU comes from the npm package webgpu (Dawn), which is no dependency of ours: DAWN=folder that holds it.
const { build } = process.argv.includes("--bundle") && !process.env.BUNDLE_ONLY ? {} : await import("esbuild");
import { spawn } from "node:child_process";
import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";

const here = import.meta.dirname;
const option = (name, value) => {
  const i = process.argv.indexOf(`--${name}`);
  return i < 0 ? value : process.argv.splice(i, 2)[1];
};
const samples = +option("samples", 64);
const reference = +option("reference", 32);
const [w, h] = option("size", "160x107").split("x").map(Number);
const bundle = option("bundle", ""); // made before, where esbuild is not
const [program, ...shoots] = process.argv.slice(2);

const dir = mkdtempSync(join(tmpdir(), "live"));
let file = bundle;
if (!file || process.env.BUNDLE_ONLY) {
  file = bundle || join(dir, "live.mjs");
  await build({
    stdin: {
      contents: `export { read, changed } from "./src/gpu/scene.ts";
        export { Tracer, compile, firstRounds } from "./src/gpu/tracer.ts";`,
      resolveDir: here,
      loader: "ts",
    },
    bundle: true, format: "esm", platform: "neutral", outfile: file, loader: { ".wgsl": "text" },
  });
  if (process.env.BUNDLE_ONLY) process.exit(0);
}
const { read, changed, Tracer, compile } = await import(pathToFileURL(file).href);
const { create, globals } = createRequire(join(process.env.DAWN ?? here, "x"))("webgpu");
Object.assign(globalThis, globals);
const gpu = create([]); // held: what it made goes with it
const adapter = await gpu.requestAdapter({ powerPreference: "high-performance" });
const { maxStorageBufferBindingSize, maxBufferSize } = adapter.limits;
const clocked = adapter.features.has("timestamp-query");
const device = await adapter.requestDevice({ requiredLimits: { maxStorageBufferBindingSize, maxBufferSize },
  requiredFeatures: clocked ? ["timestamp-query"] : [] });
const clock = clocked && { set: device.createQuerySet({ type: "timestamp", count: 2 }),
  from: device.createBuffer({ size: 16, usage: 0x200 | 4 }) };

/** Notes the processor's own time in place k, between what was submitted before and after. */
function stamp(k) {
  if (!clock) return;
  const e = device.createCommandEncoder();
  e.beginComputePass({ timestampWrites: { querySet: clock.set, [k ? "endOfPassWriteIndex" : "beginningOfPassWriteIndex"]: k } }).end();
  device.queue.submit([e.finish()]);
}

/** Milliseconds between the two. */
async function stamped() {
  if (!clock) return NaN;
  const e = device.createCommandEncoder(), to = device.createBuffer({ size: 16, usage: 8 | 1 });
  e.resolveQuerySet(clock.set, 0, 2, clock.from, 0);
  e.copyBufferToBuffer(clock.from, 0, to, 0, 16);
  device.queue.submit([e.finish()]);
  await to.mapAsync(1);
  const t = new BigUint64Array(to.getMappedRange().slice(0));
  to.destroy();
  return Number(t[1] - t[0]) / 1e6;
}
console.log(`${adapter.info.vendor} ${adapter.info.architecture} ${adapter.info.description}`);
device.lost.then((l) => console.log("lost:", l.message));
device.addEventListener?.("uncapturederror", (e) => console.log("error:", e.error.message));

/** The program on a shoot: its address, and how to end it. */
async function serve(shoot) {
  const args = ["open", ...(shoot === "demo" ? [] : [shoot]), "--no-browser"];
  const p = spawn(program, args, { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  const address = await new Promise((done, fail) => {
    p.stdout.on("data", (d) => {
      said += d;
      const m = /(http:\/\/[^\s/]+)/.exec(said);
      if (m) done(m[1]);
    });
    p.on("exit", () => fail(new Error(`${shoot}: ${said}`)));
  });
  const end = () => new Promise((done) => {
    p.removeAllListeners("exit");
    p.on("exit", done);
    p.kill("SIGINT");
  });
  return { address, end };
}

function half(v) {
  const e = (v >> 10) & 31, m = v & 1023, s = v >> 15 ? -1 : 1;
  return e ? s * 2 ** (e - 15) * (1 + m / 1024) : (s * m) / 2 ** 24;
}

const columns = 8, rows = 6;

/** Means over tiles of what at gives for a pixel. */
function tiles(width, height, at) {
  const sum = new Float64Array(columns * rows), n = new Float64Array(columns * rows);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const k = Math.floor((y * rows) / height) * columns + Math.floor((x * columns) / width);
      sum[k] += at(y * width + x);
      n[k]++;
    }
  return Array.from(sum, (v, k) => v / n[k]);
}

/**
 * How far tiles differ beside how far their noise goes, root mean square over a layer's tiles: each by the square
 * root of its own light times the layer's, since noise grows so. parts: the traced tiles, several times over.
 */
function tileTruth(parts, want) {
  const all = want.reduce((a, b) => a + b, 0) / want.length;
  let off = 0, noise = 0, worst = [0, 1];
  want.forEach((w, k) => {
    const v = parts.map((p) => p[k]), m = v.reduce((a, b) => a + b, 0) / v.length,
      by = Math.max(w, 0.02 * all) * all;
    noise += v.reduce((a, b) => a + (b - m) ** 2, 0) / v.length / (v.length - 1) / by;
    off += (m - w) ** 2 / by;
    if ((m - w) ** 2 / by > worst[0]) worst = [(m - w) ** 2 / by, m / w];
  });
  return { off: Math.sqrt(off / want.length), noise: Math.sqrt(noise / want.length), worst: worst[1] };
}

/** The last pass of the program's layers: each layer's mean Y per unit. */
async function means(address, i) {
  const res = await fetch(`${address}/api/setup/${i}/layers?w=${w}&samples=${reference}`);
  const b = Buffer.from(await res.arrayBuffer());
  let at = 0, out = null;
  while (at < b.length) {
    const end = b.indexOf(10, at);
    const head = JSON.parse(b.subarray(at, end).toString());
    out = head;
    out.data = b.subarray(end + 1, end + 1 + head.bytes);
    at = end + 1 + head.bytes;
  }
  const { layers } = out;
  return { names: layers.map((l) => l.name), means: layers.map((l) => l.mean[1] * l.scale), w: out.w, h: out.h,
    y: (l, i) => half(out.data.readUInt16LE(2 * (3 * (l * out.w * out.h + i) + 1))) * layers[l].scale };
}

const codes = new Map();
let worst = 0;
for (const given of shoots) {
  let shoot = given;
  const [had, to] = (process.env.MOVE ?? "").split("=>");
  if (to) {
    if (!readFileSync(given, "utf8").includes(had)) { console.log(`${given}: no '${had}'`); continue; }
    copyFileSync(given, (shoot = join(dir, basename(given))));
  }
  const s = await serve(shoot);
  try {
    const state = await (await fetch(`${s.address}/api/state`)).json().catch(() => ({}));
    const count = state.setups?.length ?? 1;
    for (let i = +(process.env.SETUP ?? 0); i < count; i++) {
      const res = await fetch(`${s.address}/api/setup/${i}/gpu?w=${w}`);
      if (!res.ok) { console.log(`${shoot} ${i}: ${await res.text()}`); continue; }
      const bytes = await res.arrayBuffer();
      const scene = read(bytes), { head } = scene;
      if (process.env.WHOLE) head.cells = 0;
      let moved = scene;
      if (to) {
        writeFileSync(shoot, readFileSync(shoot, "utf8").replaceAll(had, to));
        for (let k = 0; k < 100 && moved.head.revision === head.revision; k++) {
          await new Promise((done) => setTimeout(done, 200));
          const q = `still=${head.still}&node=${head.node}&triangle=${head.triangle}`;
          moved = read(await (await fetch(`${s.address}/api/setup/${i}/gpu?${q}`)).arrayBuffer());
        }
        if (moved.head.stale) { console.log(`${shoot} ${i}: another scene`); continue; }
        console.log(`${shoot} ${i}: what moved takes ${(moved.bytes / 1e6).toFixed(2)} MB`);
      }
      const want = await means(s.address, i);
      const haze = !!head.haze;
      const from = performance.now();
      if (!codes.has(haze)) codes.set(haze, await compile(device, haze, "rgba8unorm", Number(process.env.WINDOWS ?? 16)));
      const compiled = performance.now() - from;
      const t0 = performance.now();
      const t = new Tracer(codes.get(haze), scene, scene, want.w, want.h);
      if (to && !t.change(moved)) console.log("  it does not fit");
      await device.queue.onSubmittedWorkDone();
      const loaded = performance.now() - t0;
      const all = changed({ ...head, still: "" }, head);
      const halves = head.layers.map(() => []);
      if (process.env.SAME) {
        for (let n = 0; n < 4; n++) t.gather(all, 1, n, 0);
        for (let n = 0; n < samples; n++) t.expose(all, 7);
        for (let l = 0; l < head.layers.length; l++) {
          if (head.layers[l].foreign) continue;
          const px = await t.layer(l), at = join(process.env.SAME, `${basename(given)}-${i}-${l}.f32`);
          if (!existsSync(at)) { writeFileSync(at, px); continue; }
          const b = readFileSync(at), had = new Float32Array(b.buffer, b.byteOffset, b.length / 4);
          let near = 0, a = 0, c = 0;
          const n = px.length / 4, mean = had.reduce((q, v, k) => q + (k % 4 === 1 ? v : 0), 0) / n;
          for (let k = 0; k < n; k++) {
            const x = px[4 * k + 1], y = had[4 * k + 1];
            a += x; c += y;
            if (Math.abs(x - y) <= 1e-3 * Math.max(x, y) + 1e-5 * mean) near++;
          }
          console.log(`  ${given} ${i} ${want.names[l]}: ${((100 * near) / n).toFixed(2)} % of pixels within 0.1 %; ` +
            `mean ${(a / c).toFixed(5)} of the other's`);
        }
        t.destroy();
        continue;
      }
      const parts = 4, tiled = head.layers.map(() => []);
      for (let k = 0; k < parts; k++) {
        t.forget(all);
        for (let n = 0; n < Math.max(24, samples / 4); n++) {
          t.gather(all, 4, 1000 * k + n, 0);
          if (n % 8 === 7) await device.queue.onSubmittedWorkDone();
        }
        for (let n = 0; n < samples; n++) {
          t.expose(all, 7 + k);
          if (n % 8 === 7) await device.queue.onSubmittedWorkDone();
        }
        for (const [l, m] of await t.means(all)) halves[l].push(m[1]);
        if (process.env.TILES)
          for (const [l, v] of tiled.entries()) {
            if (head.layers[l].foreign) continue;
            const px = await t.layer(l);
            v.push(tiles(want.w, want.h, (at) => px[4 * at + 1]));
          }
      }
      const told = head.layers.map((l, n) => {
        if (l.foreign) return `${want.names[n]} foreign`;
        const m = halves[n].reduce((a, b) => a + b, 0) / parts;
        const se = Math.sqrt(halves[n].reduce((a, b) => a + (b - m) ** 2, 0) / parts / (parts - 1));
        const r = m / want.means[n];
        if (Number.isFinite(r)) worst = Math.max(worst, Math.abs(r - 1));
        return `${want.names[n]} ${r.toFixed(3)}±${(se / want.means[n]).toFixed(3)}`;
      });
      const ms = `compile ${compiled.toFixed(0)} load ${loaded.toFixed(0)} ms`;
      console.log(`${shoot} ${i} ${want.w}x${want.h} ${(bytes.byteLength / 1e6).toFixed(1)} MB ${ms}`);
      console.log("  " + told.join("  "));
      for (const [l, v] of tiled.entries()) {
        if (!v.length || !want.means[l]) continue;
        const o = tileTruth(v, tiles(want.w, want.h, (at) => want.y(l, at)));
        console.log(`  ${want.names[l]}: tiles off by ${(100 * o.off).toFixed(1)} %, ${(100 * o.noise).toFixed(1)} % of ` +
          `noise here; worst ${o.worst.toFixed(2)}`);
      }
      if (process.env.DUMP) { // pixels, to be held against those of another adapter
        for (let l = 0; l < head.layers.length; l++)
          if (!head.layers[l].foreign) {
            const at = join(process.env.DUMP, `${basename(shoot)}-${i}-${l}`);
            writeFileSync(`${at}.f32`, await t.layer(l));
            writeFileSync(`${at}-program.f32`, Float32Array.from({ length: want.w * want.h }, (_, k) => want.y(l, k)));
          }
      }
      if (process.env.GRID) { // where layers that differ do: by blocks, traced over the program's, and its share
        for (let l = 0; l < head.layers.length; l++) {
          const m = halves[l].reduce((a, b) => a + b, 0) / parts;
          if (head.layers[l].foreign || !(Math.abs(m / want.means[l] - 1) > 0.01 * process.env.GRID)) continue;
          const px = await t.layer(l), rows = 8, columns = 10;
          console.log(`  ${want.names[l]}:`);
          for (let r = 0; r < rows; r++) {
            let line = "   ";
            for (let c = 0; c < columns; c++) {
              let a = 0, b = 0;
              for (let y = Math.floor((r * want.h) / rows); y < Math.floor(((r + 1) * want.h) / rows); y++)
                for (let x = Math.floor((c * want.w) / columns); x < Math.floor(((c + 1) * want.w) / columns); x++) {
                  a += px[4 * (y * want.w + x) + 1];
                  b += want.y(l, y * want.w + x);
                }
              line += ` ${(a / b).toFixed(2)}(${((100 * b) / want.w / want.h / want.means[l]).toFixed(1)})`;
            }
            console.log(line);
          }
        }
      }
      t.destroy();
      if (process.env.TIME) {
        const t = new Tracer(codes.get(haze), scene, scene, 640, 427);
        const format = "rgba8unorm";
        const target = device.createTexture({ size: [640, 427], format, usage: 16 | 1 });
        const same = [1, 0, 0, 0, 1, 0, 0, 0, 1];
        const tone = { join: 1, white: 4, power: 1, glare: 0, sigmoid: 0, half: 1, scale: 1 };
        const mix = { weight: head.layers.map(() => 1), exposure: { adapt: same, srgb: same, tone }, veil: [0, 0, 0],
          rest: new Float32Array(640 * 427 * 4), mask: all };
        t.setRest(mix.rest);
        const time = async (what, frame) => {
          for (let k = 0; k < 3; k++) frame(k);
          await device.queue.onSubmittedWorkDone();
          const list = [], own = [];
          for (let k = 0; k < 20; k++) {
            const a = performance.now();
            stamp(0);
            frame(k);
            stamp(1);
            await device.queue.onSubmittedWorkDone();
            list.push(performance.now() - a);
            own.push(await stamped());
          }
          for (const l of [list, own]) l.sort((a, b) => a - b);
          console.log(`  ${what}: ${list[10].toFixed(1)} ms (${list[1].toFixed(1)} to ${list[18].toFixed(1)}), ` +
            `by timestamps ${own[10].toFixed(2)} ms`);
        };
        const one = all & -all;
        await time("a moved light, one sample, filter and picture", (k) => {
          t.forget(one); t.gather(one, 4, k, 0.5); t.expose(one, k); t.show(target.createView(), { ...mix, mask: one });
        });
        await time("all layers, one sample, filter and picture", (k) => {
          t.gather(all, 4, k, 0.5); t.expose(all, k); t.show(target.createView(), mix);
        });
        t.destroy();
        target.destroy();
      }
    }
  } finally {
    await s.end();
  }
}
console.log(`worst ${(100 * worst).toFixed(1)} %`);
rmSync(dir, { recursive: true, force: true });
device.destroy();
process.exit(gpu ? 0 : 1);
