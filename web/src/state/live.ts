// The live link: events in, state fetched again; a lost link is shown and heals itself.
import type { Event as LiveEvent, KitView, ReadingsView, SetupView, State } from "../model/wire.ts";
import { patched } from "../model/difference.ts";
import { byNumber, numbersOf } from "../model/numbers.ts";
import { foundNumbers, foundWhere, keepNumbers, keepWhere } from "./memory.ts";
import { ask, Refused } from "./wire.ts";
import { stream } from "./stream.ts";
import { inHand, textShown, type Film, type Store } from "./store.ts";

export class Live {
  private events: EventSource | null = null;
  private retry = 500;
  private silent = 0;
  private film: AbortController | null = null;
  private filmKey = "";
  private shownKey = ""; // of the picture that is shown
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
  }

  private kitBusy = false;
  private fetchKit(): void {
    if (this.kitBusy) return;
    this.kitBusy = true;
    void ask<KitView>("/api/kit").then((kit) => this.store.set({ kit }), () => undefined).finally(() => {
      this.kitBusy = false;
    });
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
    const es = new EventSource("/api/events?changes=1");
    this.events = es;
    this.lastSent.clear();
    es.onopen = () => {
      this.retry = 500;
      clearTimeout(this.silent);
      this.silent = 0;
      const was = this.store.page.link;
      this.store.set({ link: "live" });
      if (was === "lost") this.filmKey = "";
      void this.fetchState();
    };
    es.onerror = () => {
      es.close();
      if (this.events !== es) return;
      this.events = null;
      // A link that comes back within a moment was not lost.
      if (this.store.page.link !== "lost")
        this.silent ||= window.setTimeout(() => this.store.set({ link: "lost" }), 1200);
      setTimeout(() => this.connect(), this.retry);
      this.retry = Math.min(4000, this.retry * 1.6);
    };
    for (const kind of ["state", "readings", "layers", "progress", "message", "day"]) {
      es.addEventListener(kind, (e) => {
        let event: LiveEvent;
        try { event = JSON.parse((e as MessageEvent<string>).data) as LiveEvent; } catch { return; }
        this.receive(kind, event);
      });
    }
  }

  /** What this connection brought last of each setup: the base that differences are to. */
  private readonly lastSent = new Map<number, { readings: ReadingsView; view: SetupView | null }>();

  /** An event with readings and setup whole. */
  private whole(e: LiveEvent): LiveEvent {
    const was = this.lastSent.get(e.index),
      readings = e.readings ?? (was && e.change ? patched(was.readings, e.change) : undefined),
      view = e.view ?? (was?.view && e.view_change ? patched(was.view, e.view_change) : undefined);
    if (!readings) return e;
    this.lastSent.set(e.index, { readings, view: view ?? was?.view ?? null });
    return { ...e, readings, ...(view ? { view } : {}) };
  }

  private receive(kind: string, event: LiveEvent): void {
    const p = this.store.page, e = kind === "readings" ? this.whole(event) : event;
    if (kind === "state" && e.what === "kit") this.fetchKit();
    // The revision may be the same: that it is saved, or differs on disk, is a change too.
    if (kind === "state") this.stateSoon();
    if (kind === "readings" && e.index === p.setup) {
      if (!e.readings) void this.fetchReadings();
      else if (p.readings?.index !== e.index || e.readings.revision >= p.readings.revision) {
        if (e.view && e.view.revision > (p.view?.revision ?? 0) && e.view.revision <= (p.state?.good_revision ?? 0))
          this.see(e.view);
        this.read(e.readings);
      }
    }
    if (kind === "layers") {
      const wake = this.waiting.get(e.index);
      if (wake) wake();
      else this.early.add(e.index);
      if (e.index === p.setup && !this.film) void this.fetchFilm();
    }
    if (kind === "progress" && e.what === "ways" && e.index === p.setup && p.searching >= 0)
      this.store.set({ searching: e.done ?? 0 });
    if (kind === "progress" && e.what === "papers" && p.paperDone >= 0) this.store.set({ paperDone: e.done ?? 0 });
    if (kind === "progress" && (e.what === p.libBusy || e.what === "library" && p.libBusy === "find"))
      this.store.set({ libDone: e.done ?? 0 });
    if (kind === "progress" && e.what === "learn") this.store.set({ lessonsDone: e.done ?? 0 });
    if (kind === "day") this.store.set({ logNews: p.logNews + 1 });
    if (kind === "day") this.store.set({ day: p.day && { ...p.day, revision: -1 } }); // it is asked for anew
    if (kind === "message" && e.what === "fault" && e.index >= 0) {
      if (e.index === p.setup) this.store.set({ fault: e.text ?? "" });
    }
    else if (kind === "message" && e.text) this.store.set({ toast: e.text });
  }

  private stateTimer = 0;
  /**
   * While a change of this page is on its way its answer brings the state; but it may
   * be older than the event, so the state is asked for after it.
   */
  private stateSoon(): void {
    this.stateTimer ||= window.setTimeout(() => {
      this.stateTimer = 0;
      if (this.store.page.pending) this.stateSoon();
      else void this.fetchState();
    }, 20);
  }

  private stateAsked = 0;
  private stateTaken = 0;

  async fetchState(): Promise<void> {
    const n = ++this.stateAsked;
    try {
      const state = await ask<State>("/api/state");
      if (n < this.stateTaken) return; // a later question was answered first, and its state may be of the same revision
      this.stateTaken = n;
      this.take(state);
    } catch { /* the event link says so and tries again */ }
  }

  /** A state from whatever answer; what hangs on it is fetched again. */
  take(answer: State): void {
    const p = this.store.page,
      state = p.chosen ? { ...answer, house: { ...answer.house, lengths: p.units.lengths } } : answer;
    if (!p.chosen && answer.house.lengths !== p.units.lengths)
      this.store.set({ units: { ...p.units, lengths: answer.house.lengths === "feet" ? "feet" : "metres" } });
    const had = this.store.page.state;
    if (had && state.run === had.run && state.revision < had.revision) return; // an older answer
    if (had && state.run !== had.run) {
      // The program was started anew and counts anew.
      this.filmKey = "";
      this.lastSent.clear();
      this.store.set({ readings: null, view: p.view && { ...p.view, revision: 0 },
        textRevision: Math.min(0, p.textRevision) });
    }
    if (had && had.setups.map((x) => x.name).join("\n") !== state.setups.map((x) => x.name).join("\n"))
      this.store.set({ shots: new Map() });
    const hand = inHand(this.store.page), now = Date.now(),
      saved = state.saved && had !== null && (!had.saved || had.revision !== state.revision);
    const where = had ? null : foundWhere(state.file),
      there = where ? state.setups.findIndex((x) => x.name === where.setup) : -1;
    const setup = there >= 0 ? there : Math.min(this.store.page.setup, Math.max(0, state.setups.length - 1));
    this.store.set({
      state, disk: state.disk ?? null, setup, ...(saved ? { savedAt: now } : {}),
      ...(state.draft && had?.draft ? {} : { goodAt: state.draft && !had ? 0 : now }),
      ...(where ? { pane: where.pane } : {}), ...(state.good_revision === 0 && !state.begin
        ? { pane: "text" as const } : {}),
    }, hand);
    if (textShown(this.store.page)) void this.fetchText();
    // While a hand moves the readings bring what they are of, and are drawn with it.
    clearTimeout(this.behind);
    if (hand) {
      // Readings may come before the answer to the change, which waits for the disk.
      const early = this.lastSent.get(this.store.page.setup)?.view, shown = this.store.page.view?.revision ?? 0;
      if (early && early.revision > shown && early.revision <= state.good_revision) this.see(early);
      this.behind = window.setTimeout(() => {
        if ((this.store.page.view?.revision ?? 0) < (this.store.page.state?.good_revision ?? 0)) void this.fetchView();
        else this.store.set({});
      }, 250);
    } else if (state.good_revision > 0) void this.fetchView();
    if (this.store.page.kit === null) this.fetchKit();
    if (!this.store.page.textDirty && textShown(this.store.page)) void this.fetchText();
  }

  private hourBusy = false;

  /** Asks for the hour that the page shows; while one asking is under way the newest waits. */
  async hour(): Promise<void> {
    if (this.hourBusy) return;
    this.hourBusy = true;
    for (let last: number | null | undefined; last !== this.store.page.hour;) {
      const i = this.store.page.setup;
      last = this.store.page.hour;
      try {
        const state = await ask<State>(`/api/setup/${i}/hour`, { minute: last });
        this.take(state);
        await this.readingsOf(state.good_revision);
      } catch (e) {
        if (e instanceof Refused) this.store.set({ toast: e.message });
        break;
      }
      if (i !== this.store.page.setup) break;
    }
    this.hourBusy = false;
  }

  private behind = 0;

  /** Keeps on the device where one is, so that a reload comes back there. */
  remembered(): void {
    const p = this.store.page, name = p.state?.setups[p.setup]?.name;
    if (p.state && name !== undefined) keepWhere({ file: p.state.file, setup: name, pane: p.pane });
  }

  /** The setup shown is another. */
  private see(view: SetupView): void {
    const p = this.store.page, patch: Partial<typeof p> = { view }, file = p.state?.file ?? "",
      same = p.view?.name === view.name;
    const had = same && p.numbers.length ? p.numbers : foundNumbers(file, view.name), numbers = numbersOf(view, had);
    if (numbers.join("\n") !== p.numbers.join("\n")) { patch.numbers = numbers; keepNumbers(file, view.name, numbers); }
    // What was selected stays selected, by its name.
    const name = same ? p.view?.points[p.point]?.name : undefined, at = view.points.findIndex((q) => q.name === name);
    const point = at >= 0 ? at : byNumber(view, numbers)[0] ?? 0;
    if (point !== p.point) patch.point = point;
    this.remember(view, patch);
    if (!p.drag) patch.trial = { k: new Map() };
    if (!this.hourBusy) patch.hour = view.hours && view.hours.shown !== view.hours.at ? view.hours.shown : null;
    if (p.readings?.index !== view.index) patch.readings = null;
    this.store.set(patch);
    void this.fetchFilm();
  }

  async fetchText(): Promise<void> {
    const t = await ask<{ revision: number; text: string }>("/api/text").catch(() => null);
    // An answer that comes late is of an older text.
    if (t && !this.store.page.textDirty && t.revision >= this.store.page.textRevision)
      this.store.set({ text: t.text, textRevision: t.revision });
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
        // the event was faster
        if (view.revision < (this.store.page.view?.revision ?? 0) && this.store.page.view?.index === i) continue;
        this.see(view);
        // In a drag the event alone says when new readings are there.
        if (!this.store.page.drag || this.store.page.readings === null) void this.fetchReadings();
      } catch (e) {
        // without a good text the messages say why
        if (e instanceof Refused && e.status !== 404) this.store.set({ toast: e.message });
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

  /**
   * Resolves when readings of a revision are there, or after a while: a drag sends
   * no faster than they come, so that none waits in a line.
   */
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
      const view = await ask<SetupView>(`/api/setup/${i}`, undefined, "GET", mine.signal),
        had = this.store.page.shots.get(i);
      if (had && filmKey(had.view) === filmKey(view)) keep(had.film, view);
      if (!view.camera || !view.built) {
        this.store.set({ toast: `There is no picture of ${view.name} as it is written.`, compare: null });
        return;
      }
      const end = await stream(() => `/api/setup/${i}/layers?${sideOf(view)}&samples=8`, mine.signal,
        () => this.pass(i), (film) => keep(film, view));
      if (end === "stale" && !mine.signal.aborted) setTimeout(() => void this.fetchOther(i), 60);
    } catch { /* the link tells */ }
    if (this.other === mine) this.other = null;
  }

  private readonly waiting = new Map<number, () => void>();
  private readonly early = new Set<number>();

  /** Resolves when a setup's picture has a new pass, or soon enough to keep it in work. */
  private pass(i: number): Promise<void> {
    if (this.early.delete(i)) return Promise.resolve();
    return new Promise((done) => {
      const had = this.waiting.get(i);
      const all = (): void => { if (this.waiting.get(i) === all) this.waiting.delete(i); had?.(); done(); };
      this.waiting.set(i, all);
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
      const i = this.store.page.setup, v = this.store.page.view;
      if (v?.index === i && !v.built) break; // it says itself why not
      try {
        const r = await ask<ReadingsView>(`/api/setup/${i}/readings`);
        if (i === this.store.page.setup) this.read(r);
      } catch { /* 202: an event comes when they are there */ }
    }
    this.readingsBusy = false;
  }

  private stale = 0;

  /**
   * The picture's layers, pass by pass. A change of weights alone keeps the
   * stream, and so does a hand that moves: it takes what comes.
   */
  async fetchFilm(force = false): Promise<void> {
    const p = this.store.page;
    const v = p.view;
    // Without light there is nothing to add up: the mount says so.
    if (!v?.camera || !v.built || !v.lights.some((l) => l.layer >= 0)) {
      if (p.film && v && (!v.camera || v.built)) this.store.set({ film: null, filmFrom: 0, filmOld: false });
      return;
    }
    const key = filmKey(v);
    const late = (): string => (inHand(this.store.page) ? "&late=1" : "");
    if (!force && (key === this.filmKey || (late() && this.film))) return;
    this.filmKey = key;
    this.film?.abort();
    const mine = new AbortController();
    this.film = mine;
    const i = p.setup;
    if (!inHand(p)) this.store.set({ filmFrom: Date.now(), filmOld: p.film !== null && key !== this.shownKey });
    try {
      const end = await stream(() => `/api/setup/${i}/layers?${sideOf(v)}${late()}`, mine.signal,
        () => this.pass(i), (film) => {
        // A picture without light has nothing to add up: the mount says so.
        if (i !== this.store.page.setup || mine.signal.aborted || film.head.layers.length === 0) return;
        this.stale = 0;
        this.shownKey = key;
        this.store.set({ film, filmVersion: this.store.page.filmVersion + 1, fault: "", filmOld: false,
          ...(film.head.last ? { filmFrom: 0 } : {}) });
      });
      // Asked again soon, and then ever later: a picture that goes stale at once is not worth a storm.
      if (end === "stale") {
        this.filmKey = "";
        setTimeout(() => void this.fetchFilm(), Math.min(2000, 30 * 2 ** this.stale++));
      }
      else if (end && end !== "last") this.store.set({ toast: end });
    } catch {
      if (!mine.signal.aborted) { this.filmKey = ""; }
    }
    if (this.film === mine) this.film = null;
  }
}

/** How many pixels the long side of the picture is worth asking for on this screen. */
const longSide = (): number => Math.min(960, Math.round(640 * Math.min(1.5, globalThis.devicePixelRatio || 1)));

const sideOf = (v: SetupView): string =>
  (v.camera && v.camera.sensor_height > v.camera.sensor_width ? `h=${longSide()}` : `w=${longSide()}`);

/** All that a setup's picture depends on. */
const looks = (v: SetupView): string =>
  filmKey(v) + JSON.stringify([v.lights.map((l) => [l.k, l.off, l.tint]), v.camera?.exposure, v.camera?.shutter.value]);

/** What the layers of a picture depend on: places and parts, not settings. */
function filmKey(v: SetupView): string {
  const c = v.camera, camera = c && [c.at, c.axis, c.up, c.image, c.sensor_width, c.aperture.value, c.focus];
  return JSON.stringify([v.index, camera, v.sitter, v.panels, v.objects, v.room, v.haze, v.hours?.shown,
    v.lights.map((l) => [l.layer, l.at, l.aim, l.head, l.modifier, l.grid, l.through, l.bodies, l.colour, l.gels])]);
}
