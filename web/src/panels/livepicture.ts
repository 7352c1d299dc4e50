// The picture while a hand drags: the page's own graphics processor traces the layers that change, the others stay
// the program's. It measures itself
// before it is used, is held against the program's layers each time a hand rests, and stands back where it is
// slow, lost or wrong.
import { halfTable, veilOf } from "../draw/mix.ts";
import { bodiesMoved, changed, read, windows, type Scene } from "../gpu/scene.ts";
import { formatOf, openScreen, type Screen } from "../gpu/screen.ts";
import { enough, most as mayStray, strays, type Means } from "../gpu/truth.ts";
import { compile, firstRounds, mostBytes, Tracer, type Code, type Mixed } from "../gpu/tracer.ts";
import { exposureFactor, weights } from "../model/light.ts";
import type { SetupView } from "../model/wire.ts";
import { inHand, trialOf, type Film, type Page, type Store } from "../state/store.ts";

const side = 640; // most pixels along the picture's width
const slowest = 1000 / 15; // ms a frame, over which size and windows of the spectrum are halved, then all is left
const most = 64; // samples, after which the hand's picture is good enough
const restTime = 600; // ms that a picture is at rest before the scene is fetched

interface Base {
  film: Film;
  revision: number;
  scene: Scene;
}

export class LivePicture {
  private device: GPUDevice | null = null;
  private asked = false;
  private readonly codes = new Map<string, Code>();
  private tracer: Tracer | null = null;
  private setup = -1;
  private base: Base | null = null;
  private scale = 1;
  private readonly off = new Map<string, string>(); // setups that are off, by name, and why
  private timer = 0;
  private busy = false; // something is fetched
  private last: Scene | null = null; // what is traced now
  private mask = 0;
  private running = false;
  private screen: Screen | null = null;
  private soft = false; // graphics are computed on the processor
  private turn = 0; // of the loop that runs; an older one ends
  private seed = 1;
  private restKey = "";
  private restSum: Float32Array<ArrayBuffer> | null = null;
  private millis = 0;
  private trialled: { means: Means; half: Means } | null = null; // to be held against a picture of enough samples
  private readonly forced = new URLSearchParams(location.search).get("live"); // 'always', 'check', 'half': for tests

  constructor(
    private readonly store: Store,
    private readonly canvas: HTMLCanvasElement,
  ) {}

  /** Hears of every change of the page. */
  on(p: Page): void {
    const v = p.view;
    if (!v || p.liveOff || !("gpu" in navigator) || document.hidden) {
      if (this.running) this.stop();
      return;
    }
    if (p.setup !== this.setup) {
      this.drop();
      this.setup = p.setup;
    }
    if (this.off.has(v.name)) {
      if (this.running) this.stop();
      return;
    }
    const hand = inHand(p) && p.frame === "picture" && !p.compare;
    if (hand && this.base && v.revision > this.base.revision) {
      void this.follow(p);
      return;
    }
    if (this.running && !hand) this.settle(p);
    // The same picture with more samples needs no other scene.
    if (
      !hand &&
      !this.running &&
      this.base &&
      this.tracer &&
      p.film &&
      p.film.head.pass > 0 &&
      p.film.head.revision === this.base.revision
    ) {
      this.base.film = p.film;
      if (this.trialled) this.hold(this.trialled.means, this.trialled.half, p.film, v);
      if (this.off.has(v.name)) return;
    }
    if (!hand && !this.running && this.rested(p)) {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(() => void this.prepare(), restTime);
    }
  }

  private checks(): boolean {
    return this.forced === "check" || this.forced === "half";
  }

  private rested(p: Page): boolean {
    const f = p.film;
    return (
      !!f &&
      f.head.pass > 0 &&
      !p.drag &&
      !p.pending &&
      p.view?.revision === f.head.revision &&
      (this.base?.film !== f || !this.tracer)
    );
  }

  private say(why: string): void {
    this.canvas.dataset.why = why;
    if (this.store.page.liveWhy !== why) this.store.set({ liveWhy: why });
  }

  private async open(): Promise<GPUDevice | null> {
    if (this.asked) return this.device;
    this.asked = true;
    const adapter = await navigator.gpu.requestAdapter({ powerPreference: "high-performance" });
    if (!adapter) {
      this.say("this browser gives no graphics processor");
      return null;
    }
    const { info } = adapter;
    this.soft =
      info.isFallbackAdapter ||
      /swiftshader|llvmpipe|software|basic render/i.test(`${info.vendor} ${info.architecture} ${info.description}`);
    if (this.soft && !this.forced) {
      this.say("graphics are computed on the processor here");
      return null;
    }
    const { maxStorageBufferBindingSize, maxBufferSize } = adapter.limits;
    const device = await adapter.requestDevice({ requiredLimits: { maxStorageBufferBindingSize, maxBufferSize } });
    void device.lost.then(() => {
      this.stop();
      this.drop();
      this.codes.clear();
      this.device = null;
      this.say("the graphics processor was lost");
      window.setTimeout(() => {
        this.asked = false;
      }, 10_000); // tried again at the next rest after that
    });
    return (this.device = device);
  }

  private async fetched(what: string): Promise<Scene | null> {
    const res = await fetch(`/api/setup/${this.setup}/gpu?${what}`, { cache: "no-store" });
    return res.ok ? read(await res.arrayBuffer()) : null;
  }

  /** Fetches the scene, or what moved since, so that the next drag can be followed. */
  private async prepare(): Promise<void> {
    const p = this.store.page,
      film = p.film,
      v = p.view,
      setup = p.setup;
    if (this.busy || this.running || !film || !v || !this.rested(p) || p.liveOff) return;
    this.busy = true;
    try {
      const device = await this.open();
      if (!device) return;
      const had = this.tracer?.whole.head;
      const diff = had ? await this.fetched(`still=${had.still}&node=${had.node}&triangle=${had.triangle}`) : null;
      // Cells lie where people stood, so that for one who moved all is listed anew.
      if (had && diff && !diff.head.stale && !bodiesMoved(had, diff.head) && this.tracer?.change(diff)) {
        if (setup === this.setup) this.base = { film, revision: diff.head.revision, scene: diff };
        return;
      }
      this.drop();
      const width = Math.max(16, Math.round(Math.min(this.forced ? 64 : side, film.head.w) * this.scale));
      const height = Math.max(8, Math.round((width * film.head.h) / film.head.w));
      const scene = await this.fetched(`w=${film.head.w}`);
      if (!scene) {
        this.off.set(v.name, "its scene is too large");
        this.say("the scene is too large");
        return;
      }
      const haze = !!scene.head.haze;
      const n = this.scale < 1 || this.forced === "half" ? windows / 2 : windows,
        kind = `${haze} ${n}`;
      const code = this.codes.get(kind) ?? (await compile(device, haze, formatOf(this.soft), n));
      this.codes.set(kind, code);
      const now = this.store.page;
      if (setup !== this.setup || now.view?.revision !== scene.head.revision) return;
      const tracer = new Tracer(code, scene, scene, width, height);
      if (tracer.bytes > mostBytes) {
        tracer.destroy();
        this.off.set(v.name, "too large");
        this.say("the scene is too large");
        return;
      }
      this.screen = openScreen(device, this.canvas, width, height, this.soft);
      this.tracer = tracer;
      this.base = { film: now.film ?? film, revision: scene.head.revision, scene };
      this.restKey = "";
      if (this.checks()) await this.trial(tracer);
      await this.measure(v);
    } catch (e) {
      this.drop();
      this.off.set(v.name, String(e));
      this.say(e instanceof Error ? e.message : String(e));
    } finally {
      this.busy = false;
    }
  }

  /** For tests: every layer traced twice over, so that its mean can be held against the program's with its noise. */
  private async trial(t: Tracer): Promise<void> {
    const head = t.whole.head,
      all = changed({ ...head, still: "" }, head),
      halves: number[][] = head.layers.map(() => []);
    for (let k = 0; k < 2; k++) {
      t.forget(all);
      for (let n = 0; n < 16; n++) {
        if (n < (k ? 6 : firstRounds + 2)) t.gather(all, 4, this.seed++, 0);
        t.expose(all, 1 + k);
        await this.device?.queue.onSubmittedWorkDone();
      }
      for (const [l, m] of await t.means(all)) halves[l]?.push(m[1]);
    }
    t.forget(all);
    this.canvas.dataset.check = JSON.stringify(halves);
  }

  /** Times its own frames with the light that costs most; too slow: half the size and windows, then not at all. */
  private async measure(v: SetupView): Promise<void> {
    const t = this.tracer,
      all = this.base ? changed({ ...this.base.scene.head, still: "" }, this.base.scene.head) : 0;
    if (!t || !all || !this.device) return;
    const times: number[] = [];
    const rounds = this.checks() ? 0 : firstRounds + 6;
    for (let k = 0; k < rounds; k++) t.gather(all, this.forced ? 2 : 8, this.seed++, 0);
    await this.device.queue.onSubmittedWorkDone();
    const frames = this.forced ? 4 : 8;
    let half: Means = new Map();
    for (let k = 0; k < frames; k++) {
      if (k === frames / 2) half = await t.means(all);
      const from = performance.now();
      t.gather(all, 4, this.seed++, 0);
      t.expose(all, this.seed++);
      await this.device.queue.onSubmittedWorkDone();
      times.push(performance.now() - from);
    }
    // What it would show is held against the program's picture before it is used at all.
    const film = this.base?.film;
    if (film) {
      const means = await t.means(all);
      this.hold(means, half, film, v);
      if (this.off.has(v.name)) return;
    }
    t.forget(all);
    this.millis = Math.min(...times.slice(1));
    this.canvas.dataset.millis = this.millis.toFixed(1);
    if (this.forced || this.millis <= slowest) {
      this.say("");
      return;
    }
    const again = this.scale === 1;
    this.scale = 0.5;
    this.drop();
    if (!again) {
      this.off.set(v.name, "slow");
      this.say(`this graphics processor is too slow for it: ${this.millis.toFixed(0)} ms a frame`);
    }
  }

  /** A hand moves something: what changed is fetched, and its layers start anew. */
  private async follow(p: Page): Promise<void> {
    const base = this.base,
      t = this.tracer,
      had = t?.whole.head,
      to = p.view?.revision ?? 0;
    if (this.busy || !base || !t || !had || (this.last?.head.revision ?? 0) >= to) return;
    this.busy = true;
    try {
      const diff = await this.fetched(`still=${had.still}&node=${had.node}&triangle=${had.triangle}`);
      if (!diff || t !== this.tracer) return;
      if (diff.head.stale || !t.change(diff)) {
        this.stop();
        return;
      }
      this.last = diff;
      const mask = changed(base.scene.head, diff.head);
      if (!mask) return;
      this.mask = mask;
      t.forget(mask, true);
      if (!this.running) {
        this.running = true;
        void this.run();
      }
    } catch {
      /* the link says so */
    } finally {
      this.busy = false;
    }
    const now = this.store.page;
    if (inHand(now) && (now.view?.revision ?? 0) > (this.last?.head.revision ?? 0)) void this.follow(now);
  }

  /** Traces and shows, frame after frame. */
  private async run(): Promise<void> {
    const mine = ++this.turn,
      screen = this.screen;
    let frames = 0,
      slow = 0;
    try {
      while (mine === this.turn && this.running && this.tracer && this.device && screen) {
        const t = this.tracer,
          mask = this.mask,
          p = this.store.page,
          hand = inHand(p),
          n = t.samples(mask);
        const from = performance.now();
        if (n < most) {
          t.gather(mask, hand ? 4 : 8, this.seed++, hand ? 0.5 : 0);
          t.expose(mask, this.seed++);
        }
        const mix = this.mix(p, mask);
        if (mix) {
          if (mix.rest !== this.restSum) {
            t.setRest(mix.rest);
            this.restSum = mix.rest;
          }
          await screen.draw((view) => t.show(view, mix));
          if (mine !== this.turn || !this.running) break;
          this.canvas.hidden = false;
          this.canvas.dataset.frames = String(++frames);
          this.canvas.dataset.samples = String(n);
          this.canvas.dataset.revision = String(this.last?.head.revision ?? 0);
        }
        this.millis = performance.now() - from;
        // What was quick enough when it was measured may not be later: another program has the processor.
        slow = this.millis > 2 * slowest && !this.forced ? slow + 1 : 0;
        if (slow > 5) {
          this.off.set(p.view?.name ?? "", "slow");
          this.drop();
          this.say(`this graphics processor became too slow for it: ${this.millis.toFixed(0)} ms a frame`);
        }
        await new Promise((done) => requestAnimationFrame(done));
      }
    } catch (e) {
      this.drop(); // the device is lost, or going
      this.say(e instanceof Error ? e.message : String(e));
    }
    if (mine === this.turn) this.canvas.hidden = true;
  }

  private summed: Float32Array<ArrayBuffer> | null = null;

  /** The weights of this moment, and the sum of the layers that stay. */
  private mix(p: Page, mask: number): Mixed | null {
    const v = p.view,
      c = v?.camera,
      f = this.base?.film,
      t = this.tracer;
    if (!v || !c || !f || !t) return null;
    const trial = trialOf(p),
      factor = exposureFactor(c, trial),
      weight = weights(v, trial, p.solo, f.head.layers.length).map((w) => w * factor);
    const own = f.head.layers.map((l, i) => (weight[i] ?? 0) * l.scale),
      stay = own.map((w, i) => ((mask >>> i) & 1 ? 0 : w)),
      key = `${mask} ${stay.join()}`;
    if (key !== this.restKey || !this.summed) {
      this.restKey = key;
      this.summed = sumOf(f, stay, t.width, t.height);
    }
    return {
      weight,
      exposure: c.exposure,
      veil: veilOf(f, own, c.exposure.tone.glare || 0),
      rest: this.summed,
      mask,
    };
  }

  /** The hand rests: the program's own layers of the same text take over, and tell whether this was right. */
  private settle(p: Page): void {
    const f = p.film,
      rev = this.last?.head.revision ?? 0,
      base = this.base?.film.head,
      v = p.view;
    if (!f || !base || !v || f.head.revision < rev || f.head.pass < 1 || f.head.w < base.w) {
      if (v && v.revision > rev && !this.busy) void this.follow(p); // what came in the last moment of the drag
      return;
    }
    const t = this.tracer,
      mask = this.mask,
      right = rev === f.head.revision;
    this.stop();
    if (t && right && t.samples(mask) >= 16) void this.check(t, mask, f, v);
  }

  private async check(t: Tracer, mask: number, f: Film, v: SetupView): Promise<void> {
    const means = await t.means(mask).catch(() => null);
    if (means) this.hold(means, new Map(), f, v);
  }

  /**
   * Holds traced layers against the program's, and stands back where they are not the same light. A picture of few
   * samples is known too badly to judge by: then the better ones that come are waited for.
   */
  private hold(means: Means, half: Means, f: Film, v: SetupView): void {
    const o = strays(means, half, weights(v, { k: new Map() }, "", f.head.layers.length), f.head);
    this.canvas.dataset.truth = o.says;
    this.trialled = f.head.samples < enough ? { means, half } : null;
    if (!this.trialled && o.share > mayStray) {
      this.off.set(v.name, "wrong");
      this.drop();
      this.say(`it differed from the program's picture by ${(100 * o.share).toFixed(0)} % in ${v.name}`);
    }
  }

  private stop(): void {
    this.running = false;
    this.last = null;
    this.canvas.hidden = true;
  }

  private drop(): void {
    this.stop();
    this.tracer?.destroy();
    this.tracer = this.base = this.summed = this.restSum = null;
    this.restKey = "";
    this.trialled = null;
  }
}

/** The weighed sum of a film's layers at another size, X, Y, Z and nothing. */
export function sumOf(f: Film, weight: readonly number[], w: number, h: number): Float32Array<ArrayBuffer> {
  const out = new Float32Array(w * h * 4),
    table = halfTable(),
    n = f.head.w * f.head.h;
  const column = Array.from({ length: w }, (_, x) => Math.min(f.head.w - 1, Math.floor(((x + 0.5) * f.head.w) / w)));
  weight.forEach((k, l) => {
    if (!k) return;
    for (let y = 0, o = 0; y < h; y++) {
      const row = l * n + Math.min(f.head.h - 1, Math.floor(((y + 0.5) * f.head.h) / h)) * f.head.w;
      for (let x = 0; x < w; x++, o += 4) {
        const i = 3 * (row + (column[x] as number));
        for (let c = 0; c < 3; c++) out[o + c]! += k * (table[f.data[i + c] as number] as number);
      }
    }
  });
  return out;
}
