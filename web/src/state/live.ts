// The live link: events in, state fetched again; a lost link is shown and heals itself.
import type { Event as Told, KitView, ReadingsView, SetupView, State } from "../model/wire.ts";
import { ask, Refused } from "./wire.ts";
import { stream } from "./stream.ts";
import { inHand, textShown, type Film, type Store } from "./store.ts";

export class Live {
  private events: EventSource | null = null;
  private retry = 500;
  private film: AbortController | null = null;
  private filmKey = "";
  private viewWanted = false;
  private viewBusy = false;

  constructor(private readonly store: Store) {}

  start(): void {
    let rest = 0;
    document.addEventListener("visibilitychange", () => {
      clearTimeout(rest);
      if (document.hidden) rest = window.setTimeout(() => this.sleep(), 3000);
      else if (!this.events) this.connect();
    });
    this.connect();
    void this.fetchState();
    this.fetchKit();
  }

  private fetchKit(): void {
    void ask<KitView>("/api/kit").then((kit) => this.store.set({ kit }), () => undefined);
  }

  /** A page that nobody sees holds no connection and asks for no picture; it catches up when it is looked at again. */
  private sleep(): void {
    this.events?.close();
    this.events = null;
    this.film?.abort();
    this.filmKey = "";
  }

  private connect(): void {
    if (document.hidden) return;
    this.events?.close();
    const es = new EventSource("/api/events");
    this.events = es;
    es.onopen = () => {
      this.retry = 500;
      const was = this.store.page.link;
      this.store.set({ link: "live" });
      if (was === "lost") this.filmKey = "";
      void this.fetchState();
    };
    es.onerror = () => {
      es.close();
      if (this.events !== es) return;
      this.events = null;
      if (this.store.page.link !== "lost") this.store.set({ link: "lost" });
      setTimeout(() => this.connect(), this.retry);
      this.retry = Math.min(4000, this.retry * 1.6);
    };
    for (const kind of ["state", "readings", "layers", "progress", "message"]) {
      es.addEventListener(kind, (e) => {
        let told: Told;
        try { told = JSON.parse((e as MessageEvent<string>).data) as Told; } catch { return; }
        this.hear(kind, told);
      });
    }
  }

  private hear(kind: string, e: Told): void {
    const p = this.store.page;
    if (kind === "state" && e.what === "kit") this.fetchKit();
    // While a change of this page is on its way its answer brings the state.
    if (kind === "state" && e.revision !== p.state?.revision && !p.pending) void this.fetchState();
    if (kind === "readings" && e.index === p.setup) {
      if (!e.readings) void this.fetchReadings();
      else if (p.readings?.index !== e.index || e.readings.revision >= p.readings.revision) {
        if (e.view && e.view.revision > (p.view?.revision ?? 0) && e.view.revision <= (p.state?.good_revision ?? 0)) this.see(e.view);
        this.read(e.readings);
      }
    }
    if (kind === "layers") {
      const wake = this.news.get(e.index);
      if (wake) wake();
      else this.early.add(e.index);
      if (e.index === p.setup && !this.film) void this.fetchFilm();
    }
    if (kind === "progress" && e.what === "ways" && e.index === p.setup && p.searching >= 0) this.store.set({ searching: e.done ?? 0 });
    if (kind === "message" && e.what === "fault" && e.index >= 0) { if (e.index === p.setup) this.store.set({ fault: e.text ?? "" }); }
    else if (kind === "message" && e.text) this.store.set({ toast: e.text });
  }

  async fetchState(): Promise<void> {
    try {
      this.take(await ask<State>("/api/state"));
    } catch { /* the event link says so and tries again */ }
  }

  /** A state from whatever answer; what hangs on it is fetched again. */
  take(told: State): void {
    const p = this.store.page, state = p.chosen ? { ...told, house: { ...told.house, lengths: p.units.lengths } } : told;
    if (!p.chosen && told.house.lengths !== p.units.lengths) this.store.set({ units: { ...p.units, lengths: told.house.lengths === "feet" ? "feet" : "metres" } });
    const had = this.store.page.state;
    if (had && state.run === had.run && state.revision < had.revision) return; // an older answer
    if (had && state.run !== had.run) { this.filmKey = ""; this.store.set({ readings: null }); }
    if (had && had.setups.map((x) => x.name).join("\n") !== state.setups.map((x) => x.name).join("\n")) this.store.set({ shots: new Map() });
    const hand = inHand(this.store.page);
    this.store.set({ state, disk: state.disk ?? null, setup: Math.min(this.store.page.setup, Math.max(0, state.setups.length - 1)) }, hand);
    // While a hand moves the readings bring what they are of, and are drawn with it.
    clearTimeout(this.behind);
    if (hand) this.behind = window.setTimeout(() => { if ((this.store.page.view?.revision ?? 0) < (this.store.page.state?.good_revision ?? 0)) void this.fetchView(); else this.store.set({}); }, 250);
    else void this.fetchView();
    if (!this.store.page.textDirty && textShown(this.store.page)) void this.fetchText();
  }

  private behind = 0;

  /** The setup shown is another. */
  private see(view: SetupView): void {
    const p = this.store.page, patch: Partial<typeof p> = { view };
    this.remember(view, patch);
    if (!p.drag) patch.trial = { k: new Map() };
    if (p.readings?.index !== view.index) patch.readings = null;
    this.store.set(patch);
    void this.fetchFilm();
  }

  async fetchText(): Promise<void> {
    const t = await ask<{ revision: number; text: string }>("/api/text").catch(() => null);
    if (t && !this.store.page.textDirty) this.store.set({ text: t.text, textRevision: t.revision });
  }

  /** The setup shown; while one fetch is under way the newest wish waits. */
  async fetchView(): Promise<void> {
    this.viewWanted = true;
    if (this.viewBusy) return;
    this.viewBusy = true;
    while (this.viewWanted) {
      this.viewWanted = false;
      const i = this.store.page.setup;
      try {
        const view = await ask<SetupView>(`/api/setup/${i}`);
        if (i !== this.store.page.setup) { this.viewWanted = true; continue; }
        if (view.revision < (this.store.page.view?.revision ?? 0) && this.store.page.view?.index === i) continue; // the event was faster
        this.see(view);
        // In a drag the event alone says when new readings are there.
        if (!this.store.page.drag || this.store.page.readings === null) void this.fetchReadings();
      } catch (e) {
        if (e instanceof Refused) this.store.set({ toast: e.message });
      }
    }
    this.viewBusy = false;
  }

  private waits: { revision: number; done: () => void }[] = [];

  private read(readings: ReadingsView): void {
    this.store.set({ readings });
    for (const w of this.waits) if (w.revision <= readings.revision) w.done();
    this.waits = this.waits.filter((w) => w.revision > readings.revision);
  }

  /** Resolves when readings of a revision are there, or after a while: a drag sends no faster than they come, so that none waits in a line. */
  readingsOf(revision: number): Promise<void> {
    if ((this.store.page.readings?.revision ?? -1) >= revision) return Promise.resolve();
    return new Promise((done) => { this.waits.push({ revision, done }); setTimeout(done, 200); });
  }

  private other: AbortController | null = null;

  /** The picture of another setup, to lie beside the one shown; some samples are enough. */
  async fetchOther(i: number): Promise<void> {
    this.other?.abort();
    const mine = new AbortController();
    this.other = mine;
    const keep = (film: Film, view: SetupView): void => {
      if (mine.signal.aborted) return;
      const shots = new Map(this.store.page.shots);
      shots.set(i, { film, view });
      this.store.set({ shots });
    };
    try {
      const view = await ask<SetupView>(`/api/setup/${i}`, undefined, "GET", mine.signal), had = this.store.page.shots.get(i);
      if (had && filmKey(had.view) === filmKey(view)) keep(had.film, view);
      if (!view.camera || !view.built) { this.store.set({ toast: `There is no picture of ${view.name} as it is written.`, compare: null }); return; }
      const end = await stream(() => `/api/setup/${i}/layers?${sideOf(view)}&samples=8`, mine.signal, () => this.pass(i), (film) => keep(film, view));
      if (end === "stale" && !mine.signal.aborted) setTimeout(() => void this.fetchOther(i), 60);
    } catch { /* the link tells */ }
    if (this.other === mine) this.other = null;
  }

  private readonly news = new Map<number, () => void>();
  private readonly early = new Set<number>();

  /** Resolves when a setup's picture has a new pass, or soon enough to keep it in work. */
  private pass(i: number): Promise<void> {
    if (this.early.delete(i)) return Promise.resolve();
    return new Promise((done) => {
      const had = this.news.get(i);
      const all = (): void => { if (this.news.get(i) === all) this.news.delete(i); had?.(); done(); };
      this.news.set(i, all);
      setTimeout(all, 1500);
    });
  }

  private step = -1;

  /** Keeps the picture as it was before a change; a drag is one change. */
  private remember(next: SetupView, patch: Partial<Store["page"]>): void {
    const p = this.store.page, step = p.state?.step ?? 0;
    if (p.view && p.film && p.view.index === next.index && p.view.name === next.name && p.view.camera) {
      if (step !== this.step && looks(next) !== looks(p.view)) patch.before = { film: p.film, view: p.view };
    } else patch.before = null;
    this.step = step;
  }

  private readingsBusy = false;
  private readingsWanted = false;

  async fetchReadings(): Promise<void> {
    this.readingsWanted = true;
    if (this.readingsBusy) return;
    this.readingsBusy = true;
    while (this.readingsWanted) {
      this.readingsWanted = false;
      const i = this.store.page.setup;
      try {
        const r = await ask<ReadingsView>(`/api/setup/${i}/readings`);
        if (i === this.store.page.setup) this.read(r);
      } catch { /* 202: an event comes when they are there */ }
    }
    this.readingsBusy = false;
  }

  /** The picture's layers, pass by pass. A change of weights alone keeps the stream, and so does a hand that moves: it takes what comes. */
  async fetchFilm(force = false): Promise<void> {
    const p = this.store.page;
    const v = p.view;
    if (!v?.camera || !v.built) return;
    const key = filmKey(v);
    const late = (): string => (inHand(this.store.page) ? "&late=1" : "");
    if (!force && (key === this.filmKey || (late() && this.film))) return;
    this.filmKey = key;
    this.film?.abort();
    const mine = new AbortController();
    this.film = mine;
    const i = p.setup;
    try {
      const end = await stream(() => `/api/setup/${i}/layers?${sideOf(v)}${late()}`, mine.signal, () => this.pass(i), (film) => {
        if (i === this.store.page.setup && !mine.signal.aborted) this.store.set({ film, filmVersion: this.store.page.filmVersion + 1, fault: "" });
      });
      if (end === "stale") { this.filmKey = ""; setTimeout(() => void this.fetchFilm(), 30); }
      else if (end && end !== "last") this.store.set({ toast: end });
    } catch {
      if (!mine.signal.aborted) { this.filmKey = ""; }
    }
    if (this.film === mine) this.film = null;
  }
}

/** How many pixels the long side of the picture is worth asking for on this screen. */
const longSide = (): number => Math.min(960, Math.round(480 * Math.min(2, globalThis.devicePixelRatio || 1)));

const sideOf = (v: SetupView): string => (v.camera && v.camera.sensor_height > v.camera.sensor_width ? `h=${longSide()}` : `w=${longSide()}`);

/** All that a setup's picture depends on. */
const looks = (v: SetupView): string => filmKey(v) + JSON.stringify([v.lights.map((l) => [l.k, l.off, l.tint]), v.camera?.exposure, v.camera?.shutter.value]);

/** What the layers of a picture depend on: places and parts, not settings. */
function filmKey(v: SetupView): string {
  const c = v.camera;
  return JSON.stringify([v.index, c && [c.at, c.axis, c.up, c.image, c.sensor_width, c.aperture.value, c.focus], v.sitter, v.panels, v.objects, v.room, v.haze,
    v.lights.map((l) => [l.layer, l.at, l.aim, l.head, l.modifier, l.grid, l.through, l.bodies, l.colour, l.gels])]);
}
