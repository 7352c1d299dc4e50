// The picture and what lies on it: passes that melt into each other, another
// picture beside under a wipe, mat, cover, points, histogram.
import { cropBox, coverMarks, cropHandles, mat } from "../draw/mat.ts";
import { frameFaults } from "../draw/framefaults.ts";
import { frameMarks, opening, type Box } from "../draw/frame.ts";
import { histogram, Mixer } from "../draw/mix.ts";
import { attribute, put } from "../draw/morph.ts";
import { pictureKey } from "../state/pictures.ts";
import { exposureFactor, weights, type Trial } from "../model/light.ts";
import { numbersIn } from "../model/numbers.ts";
import { wished } from "../model/rows.ts";
import { capital, wholeName } from "../model/names.ts";
import type { SetupView } from "../model/wire.ts";
import { trialOf, type Film, type Page, type Shot } from "../state/store.ts";
import { m, r1 } from "../units/markup.ts";
import type { Bins } from "./ladder.ts";
import { frameFaultsOf } from "./faults.ts";
import { cardPicture } from "./setups.ts";

const $ = <T extends Element>(id: string): T => {
  const e = document.getElementById(id);
  if (!e) throw new Error(`no ${id}`);
  return e as unknown as T;
};

const noTrial: Trial = { k: new Map() };
const trySides = [200, 320]; // something to see soon, then something to judge
const whole = 150; // ms of rest after which a picture that moved is mixed whole

/** The other picture: a shot to be mixed, or one that the program has computed. */
export type Beside = { words: string; shot: Shot | null; url: string; busy: boolean; failed: string };

/** What lies beside the picture now, if anything. */
export function besideOf(p: Page): Beside | null {
  const c = p.compare;
  if (!c) return null;
  if (c.with === "before") return { words: "before", shot: p.before, url: "", busy: false, failed: "" };
  if (c.with === "setup") {
    const shot = p.shots.get(c.setup) ?? null;
    return { words: p.state?.setups[c.setup]?.name ?? "", shot, url: "", busy: !shot, failed: "" };
  }
  const t = p.tryout, have = t && p.view
    ? trySides.map((side) => p.pictures.get(pictureKey(p.setup, p.view?.revision ?? 0, t.edits, side)) ?? "") : [],
    got = [...have].reverse().find((u) => u !== "") ?? "";
  return { words: t ? t.value || `no ${t.part}` : "", shot: null, url: got.startsWith("!") ? "" : got,
    busy: got === "" && !t?.failed, failed: got.startsWith("!") ? got.slice(1) : "" };
}

export class Picture {
  box: Box = { x: 0, y: 0, w: 1, h: 1 };
  /** The histogram of what is shown; null while nothing is. */
  bins: Bins | null = null;
  private readonly canvas = $<HTMLCanvasElement>("picture");
  private readonly other = $<HTMLCanvasElement>("other");
  private readonly was = $<HTMLCanvasElement>("was");
  private readonly still = $<HTMLImageElement>("still");
  private readonly mixer: Mixer;
  private beside: Mixer | null = null;
  private loaded: Film | null = null;
  private loadedOther: Film | null = null;
  private painted = "";
  private paintedOther = "";
  private shownSetup = -1;

  /** When it was last mixed anew though the film is the same, ms; whether at half its size; what makes it whole. */
  private mixedAt = 0;
  private halfSize = false;
  private resting = 0;
  private mixing = 0;

  /** again draws the page once more. */
  constructor(private readonly size: (e: Element) => readonly [number, number],
    private readonly again: () => void = () => undefined) {
    this.mixer = new Mixer(this.canvas, plain());
  }

  show(p: Page, stale: string): void {
    const v = p.view, c = v?.camera, mount = $<HTMLElement>("frame"), says = $("onpic");
    if (!v || !c) {
      put($("marks"), m``);
      put(says, v ? m`<p class="empty" role="status">No camera in this setup, so no picture.</p>`
        : m`<p class="empty" role="status">${empty(p)}</p>`);
      this.canvas.hidden = this.still.hidden = this.other.hidden = true;
      this.was.classList.add("gone");
      this.bins = null;
      return;
    }
    const [w, h] = this.size(mount);
    if (w < 2 || h < 2) return;
    this.box = opening(w, h, c.sensor_width / c.sensor_height);
    const other = besideOf(p), wx = p.compare ? (p.compare.whole ? w : p.compare.at * w) : 0,
      small = p.large === "plan";
    place(this.canvas, this.box);
    place(this.was, this.box);
    place($("livepic"), this.box);
    this.marks(p, v, w, h, other !== null || small);
    this.now(p, v);
    this.left(p, v, other, w, h, wx);
    clip(this.canvas, other && (other.shot || other.url) ? wx - this.box.x : 0, 0);
    put($("beside"), wipeBar(p, other, w, h));
    put(says, this.says(p, v, stale));
    if (small) this.face(v);
  }

  /** A small picture stands in until there is one of its own. */
  private standing(p: Page): boolean { return cardPicture(p, p.setup).url !== ""; }

  /** What the picture says of itself: that it is one light's, of the plan before, or not there yet. */
  private says(p: Page, v: SetupView, stale: string) {
    const b = this.box, at = `left:${r1(b.x)}px;top:${r1(b.y)}px;width:${r1(b.w)}px`,
      path = p.solo || (p.frame === "light" ? p.frameLight : "");
    const l = v.lights.find((x) => x.path === path);
    if (!v.lights.some((x) => x.layer >= 0)) return m`<p class="empty" role="status">No light is on: the picture is
        black.</p>`;
    if (!p.film) return m`<p class="empty" role="status">
        ${p.fault ? "No picture." : "The first picture is being computed."}</p>`;
    if (stale) return m`<p class="capt" role="status" data-css="${at}"><b>${capital(stale)}</b></p>`;
    if (!l || p.compare) return m``;
    const more = p.solo ? "The ladder shows it alone as well; settings, checks and ways out are of all lights."
      : "The ladder is of all lights.";
    return m`<p class="capt" role="status" data-css="${at}"><b>${wholeName(l)} alone</b>
      <span>${more}</span></p>`;
  }

  /** The face from near, beside the small picture. */
  private face(v: SetupView): void {
    const c = $<HTMLCanvasElement>("facepic"), x = c.getContext("2d"), [w, h] = this.size($("face"));
    const at = v.points.filter((q) => q.sitter && q.picture && /face|chin|forehead|eye|hair/.test(q.name))
      .map((q) => q.picture ?? [0.5, 0.5]);
    if (!x || w < 10 || h < 10 || this.canvas.width < 4) return;
    const mx = at.length ? at.reduce((t, q) => t + q[0], 0) / at.length : 0.5,
      my = at.length ? at.reduce((t, q) => t + q[1], 0) / at.length : 0.35;
    const high = Math.min(this.canvas.height,
      Math.max(0.16, at.length ? 1.9 * (Math.max(...at.map((q) => q[1])) - Math.min(...at.map((q) => q[1]))) : 0.3) *
        this.canvas.height);
    const wide = Math.min(this.canvas.width, (high * w) / h), sh = (wide * h) / w,
      cut = (v2: number, size: number, all: number): number => Math.max(0, Math.min(all - size, v2 * all - size / 2));
    c.width = Math.round(w);
    c.height = Math.round(h);
    x.drawImage(this.canvas, cut(mx, wide, this.canvas.width), cut(my, sh, this.canvas.height), wide, sh, 0, 0,
      c.width, c.height);
  }

  private marks(p: Page, v: SetupView, w: number, h: number, quiet: boolean): void {
    const marks = $<SVGSVGElement>("marks"), crop = p.drag?.crop ?? v.camera?.crop ?? [0, 0, 1, 1];
    attribute(marks, "viewBox", `0 0 ${w} ${h}`);
    const points = quiet || p.tool === "crop" || (!p.film && !this.standing(p)) ? null : frameMarks({
      w, h, box: this.box, points: p.balloons ? v.points : [], numbers: numbersIn(p.view, p.numbers),
        wished: v.points.map((_, i) => wished(v, i)), selected: p.point, spot: p.cursor ?? p.spot,
      figures: w < 420 || h < 420,
    });
    // On a phone the mount under a picture has the room that the picture has not.
    const b = this.box, low = h - b.y - b.h,
      mount = w < 420 && low > 60 ? { x: b.x, y: b.y + b.h, w: b.w, h: low } : null;
    const found = points === null || !p.balloons ? m`` : frameFaults(v, b, frameFaultsOf(p, v), points.covered, mount);
    put(marks, m`${mat(this.box, crop)}${v.cover ? coverMarks(this.box, crop, v.cover)
      : ""}${points?.drawn ?? ""}${found}${p.tool ===
      "crop" ? cropHandles(this.box, crop) : ""}`);
    const k = cropBox(this.box, crop);
    marks.dataset.crop = [k.x, k.y, k.w, k.h].map((n) => n.toFixed(1)).join(" ");
  }

  /** The picture as it is, under the settings of this moment. */
  private now(p: Page, v: SetupView): void {
    const c = v.camera, film = p.film;
    this.canvas.hidden = !film;
    if (!film || !c) { this.was.classList.add("gone"); this.painted = ""; this.bins = null; return; }
    const only = p.frame === "light" ? p.frameLight : p.solo, weight = weightsOf(v, trialOf(p), only, film),
      stops = p.frame === "stops", crop = p.drag?.crop ?? c.crop;
    // Nothing is mixed twice: the film, the weights, the white and the view say what the picture is.
    const key = `${p.filmVersion} ${weight.join()} ${c.exposure.adapt.join()} ${stops} ${crop.join()}`;
    const now = performance.now(), rests = now - this.mixedAt > whole, same = film === this.loaded;
    if (key === this.painted && same && !(this.halfSize && rests)) return;
    // Weights that follow a hand come one after the other; once they rest the picture is whole again.
    const moving = same && key !== this.painted && !rests && this.mixer.slow;
    if (same && key !== this.painted) this.mixedAt = now;
    if (moving) {
      clearTimeout(this.resting);
      this.resting = window.setTimeout(this.again, whole + 10);
    }
    this.halfSize = moving;
    if (film !== this.loaded) {
      if (this.loaded && this.shownSetup === v.index && !p.drag) this.melt();
      else this.was.classList.add("gone");
      this.mixer.load(film);
      this.loaded = film;
    }
    this.painted = key;
    this.shownSetup = v.index;
    const lo = Math.min(-4, Math.max(-10, Math.floor(c.floor_stops)));
    clearTimeout(this.mixing);
    const mix = (): void => {
      this.mixer.paint({ weight, exposure: c.exposure, stops, clip: c.clip_stops, floor: c.floor_stops }, moving);
      this.bins = { bins: histogram(film, weight, lo, Math.max(2, Math.ceil(c.clip_stops)) + 1, crop), lo };
    };
    // The numbers stand before the picture is mixed, which takes longer.
    if (moving) this.mixing = window.setTimeout(mix); else mix();
  }

  /** Lets the pass before fade over the new one, so that a coarse picture becomes a fine one without a jump. */
  private melt(): void {
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const x = this.was.getContext("2d");
    if (!x || this.canvas.width < 4) return;
    this.was.width = this.canvas.width;
    this.was.height = this.canvas.height;
    x.drawImage(this.canvas, 0, 0);
    this.was.classList.remove("gone", "melt");
    requestAnimationFrame(() => this.was.classList.add("melt"));
  }

  /** What lies left of the wipe. */
  private left(p: Page, v: SetupView, o: Beside | null, w: number, h: number, wx: number): void {
    const shot = o?.shot, c = shot?.view.camera;
    this.other.hidden = !shot || !c;
    // the small picture stands in until there is light of its own
    const stand = !o && !p.film ? cardPicture(p, p.setup).url : "";
    this.still.hidden = !o?.url && !stand;
    if (stand) {
      if (this.still.getAttribute("src") !== stand) this.still.src = stand;
      place(this.still, this.box);
      clip(this.still, 0, 0);
    }
    if (o) this.was.classList.add("gone");
    if (o?.url) {
      if (this.still.getAttribute("src") !== o.url) this.still.src = o.url;
      place(this.still, this.box);
      clip(this.still, 0, this.box.x + this.box.w - wx);
    }
    if (!shot || !c) return;
    const box = opening(w, h, c.sensor_width / c.sensor_height);
    place(this.other, box);
    clip(this.other, 0, box.x + box.w - wx);
    this.beside ??= new Mixer(this.other, plain());
    const same = shot.view.index === v.index, only = same ? (p.frame === "light" ? p.frameLight : p.solo) : "";
    const weight = weightsOf(shot.view, noTrial, only, shot.film), stops = p.frame === "stops",
      key = `${weight.join()} ${c.exposure.adapt.join()} ${stops}`;
    if (key === this.paintedOther && this.loadedOther === shot.film) return;
    if (this.loadedOther !== shot.film) { this.beside.load(shot.film); this.loadedOther = shot.film; }
    this.paintedOther = key;
    this.beside.paint({ weight, exposure: c.exposure, stops, clip: c.clip_stops, floor: c.floor_stops });
  }
}

/** The small pictures that a tried part asks for. */
export function tryWishes(p: Page): { key: string; setup: number; revision: number;
  edits: NonNullable<Page["tryout"]>["edits"]; side: number }[] {
  const t = p.tryout, v = p.view;
  return t && v && !t.failed
    ? trySides.map((side) => ({ key: pictureKey(p.setup, v.revision, t.edits, side), setup: p.setup,
      revision: v.revision, edits: t.edits, side })) : [];
}

function wipeBar(p: Page, o: Beside | null, w: number, h: number) {
  const c = p.compare;
  if (!c || !o) return m``;
  const x = (c.whole ? 1 : c.at) * w, there = o.shot !== null || o.url !== "";
  const now = c.with === "try" ? "as it is" : c.with === "setup" ? p.view?.name ?? "" : "now";
  const left = o.failed || (o.busy ? `${o.words}: being computed` : there ? o.words : `${o.words}: no picture`);
  return m`${there ? m`<div id="wipe" class="wipe${c.whole ? " whole" : ""}" data-drag="wipe" role="slider"
    tabindex="0" aria-label="Wipe between ${o.words} and ${now}" aria-valuemin="0" aria-valuemax="100"
    aria-valuenow="${Math.round((c.whole ? 1 : c.at) * 100)}"
    aria-valuetext="${o.words} on the left ${Math.round((c.whole ? 1 : c.at) * 100)} per cent"
    data-css="left:${r1(x)}px;height:${h}px"></div>` : ""}<span class="bl" role="status">${left}</span>
    ${c.whole ? "" : m`<span class="br">${now}</span>`}`;
}

/** What stands in the mount before anything is known. */
const empty = (p: Page): string => (p.state && p.state.good_revision === 0
  ? "The text has mistakes, so there is no picture yet." : "Opening…");

const plain = (): boolean => new URLSearchParams(location.search).has("plain");

function weightsOf(v: SetupView, trial: Trial, only: string, film: Film): number[] {
  const c = v.camera;
  if (!c) return [];
  const ws = weights(v, trial, only, film.head.layers.length), f = exposureFactor(c, trial);
  return film.head.layers.map((l, i) => (ws[i] ?? 0) * l.scale * f);
}

function place(e: HTMLElement, b: Box): void {
  for (const [k, x] of [["left", b.x], ["top", b.y], ["width", b.w], ["height", b.h]] as const)
    e.style.setProperty(k, `${x.toFixed(1)}px`);
}

/** Hides so many pixels at the left and the right of what is shown. */
function clip(e: HTMLElement, left: number, right: number): void {
  const l = Math.max(0, left), r = Math.max(0, right);
  e.style.setProperty("clip-path", l || r ? `inset(0 ${r.toFixed(1)}px 0 ${l.toFixed(1)}px)` : "none");
}
