// Everything the person can do, over the store and the link.
import { rowsOf, unfoldedOf } from "../model/rows.ts";
import { levels, ringOf, type Level } from "../model/light.ts";
import type { BalanceView, State } from "../model/answers.ts";
import type { Dialled, LightView, SpotView, WaysView } from "../model/wire.ts";
import type { Live } from "../state/live.ts";
import { find, up } from "../model/tree.ts";
import { foundNumbers } from "../state/memory.ts";
import { inHand, trialOf, type Drag, type Pane, type Store } from "../state/store.ts";
import { ask, Editor, Refused } from "../state/wire.ts";
import { uvOf } from "../units/colour.ts";
import { signed } from "../units/stops.ts";
import { DayHand } from "./day.ts";
import { GearHand } from "./kit.ts";
import { LibraryHand } from "./library.ts";
import { ScoutHand } from "./scout.ts";
import * as edits from "./edits.ts";
import type { Forms } from "./forms.ts";
import { Typing } from "./typing.ts";

export class Desk {
  readonly editor: Editor;
  readonly typing: Typing;
  readonly day: DayHand;
  readonly gear: GearHand;
  readonly library: LibraryHand;
  readonly scout: ScoutHand;
  /** Changes made by forms; set where the page is put together. */
  forms!: Forms;
  /** Zooms the plan about its middle: whoever draws it knows how. */
  zoomPlan: (f: number) => void = () => undefined;
  private merges = 0;
  private balancing = false;
  private ringNext: { i: number; stops: number; merge: string } | null = null;

  constructor(readonly store: Store, readonly live: Live) {
    this.day = new DayHand(this);
    this.gear = new GearHand(this);
    this.library = new LibraryHand(this);
    this.scout = new ScoutHand(this);
    this.typing = new Typing(store, live, (e) => this.say(e));
    this.editor = new Editor(
      () => store.page.state?.revision ?? 0, (s) => live.take(s), (e) => this.say(e),
      (pending) => store.set({ pending, waiting: this.editor?.open ?? 0 }, inHand(store.page)), undefined,
      (merge, s) => (merge.startsWith("drag-") ? live.readingsOf(s.good_revision) : null),
    );
  }

  /** Lets an element have the focus once it is drawn. */
  focus(id: string): void {
    requestAnimationFrame(() => requestAnimationFrame(() => document.getElementById(id)?.focus()));
  }

  /** Lets the first thing in sight that does an action have the focus, once it is drawn, or says that none does. */
  field(action: string): void {
    let tries = 0;
    const there = (): void => {
      const e = [...document.querySelectorAll<HTMLElement>(`[data-act="${action}"]`)]
        .find((x) => x.getClientRects().length > 0 && !x.closest(".help"));
      if (e) { e.scrollIntoView({ block: "nearest" }); e.focus(); }
      else if (++tries < 20) setTimeout(there, 50);
      else this.store.set({ toast: "It is not shown now: nothing is open or selected that has it." });
    };
    setTimeout(there, 60);
  }

  /** Brings an element into sight once it is drawn. */
  sight(selector: string): void {
    requestAnimationFrame(() =>
      requestAnimationFrame(() => document.querySelector(selector)?.scrollIntoView({ block: "nearest" })));
  }

  /** Opens a field: it takes the focus when it is there, and what is typed until then. */
  open(key: string): void { this.store.set({ opening: key }); }

  private held = "";
  /** The merge word of a field that is moved: the same until it is let go. */
  holding(word: string): string { return (this.held ||= this.merge(word)); }
  letGo(): void { this.held = ""; }

  say(e: unknown): void {
    const text = e instanceof Refused ? e.message : e instanceof TypeError
      ? "the program does not answer; what you see is the last it said" : String(e instanceof Error ? e.message : e);
    this.store.set({ toast: text });
    if (e instanceof Refused && e.problem?.state) this.live.take(e.problem.state);
    void this.live.fetchView();
  }

  merge(word: string): string { return `${word}-${Date.now().toString(36)}-${++this.merges}`; }

  get levels(): Level[] {
    const p = this.store.page;
    return p.view && p.readings ? levels(p.view, p.readings, trialOf(p), p.solo) : [];
  }

  light(path: string): LightView | undefined { return this.store.page.view?.lights.find((l) => l.path === path); }

  // Views of the page.
  showSetup(i: number): void {
    const n = this.store.page.state?.setups.length ?? 0;
    if (i < 0 || i >= n || i === this.store.page.setup) return;
    const p = this.store.page, shots = new Map(p.shots);
    if (p.view && p.film && p.view.index === p.setup) shots.set(p.setup, { film: p.film, view: p.view });
    const was = shots.get(i); // at once what was last seen of it
    this.store.set({
      setup: i, readings: null, film: was?.film ?? null, filmVersion: p.filmVersion + 1,
        numbers: was ? foundNumbers(p.state?.file ?? "", was.view.name) : [],
      ...(was ? { view: was.view } : {}), spot: null,
      cursor: null, point: 0, light: "", last: "point", solo: "", frame: "picture", drag: null,
        trial: { k: new Map() }, thing: null,
      hour: null, shots, before: null, compare: null, tryout: null, fault: "", unfold: null,
    });
    this.live.remembered();
    void this.live.fetchView();
  }
  selectPoint(i: number): void {
    if (i >= 0 && i < (this.store.page.view?.points.length ?? 0)) this.store.set({ point: i, last: "point" });
  }
  /** All points are in the ladder, not those with a wish alone. */
  unfolded(): boolean { return unfoldedOf(this.store.page); }
  /** Points of the ladder's rows, from the top. */
  rows(): number[] { return rowsOf(this.store.page); }
  selectLight(path: string): void {
    const off = this.store.page.light === path;
    const still = off || !this.light(path)?.at || this.light(path)?.house;
    this.store.set({ light: off ? "" : path, last: off ? "point" : "light", thing: still ? null
      : { what: "light", path } });
    if (!off) this.sight(".lt.sel");
  }
  selectRole(...roles: string[]): void {
    const l = this.store.page.view?.lights.find((x) => roles.includes(x.role));
    if (l) this.store.set({ light: l.path, last: "light", thing: l.at && !l.house
        ? { what: "light", path: l.path } : null });
  }
  frame(kind: "picture" | "stops" | "light", light = ""): void { this.store.set({ frame: kind, frameLight: light }); }
  theme(t: "booth" | "paper"): void {
    this.store.set({ theme: t });
    try { localStorage.setItem("theme", t); } catch { /* a private window keeps nothing */ }
  }
  pane(p: Pane): void {
    this.store.set({ pane: p });
    this.live.remembered();
    if (p === "text") void this.live.fetchText();
    if (p === "ways") void this.findWays();
    if (p === "day") void this.day.refresh();
    if (p === "library") void this.library.find();
  }
  solo(path: string): void { this.store.set({ solo: this.store.page.solo === path ? "" : path }); }

  // Changes of the shoot.
  setting(path: string, stops: number, merge: string): void {
    const l = this.light(path);
    const s = l && edits.settingEdits(l, stops);
    if (!l || !s) return;
    const k = new Map(this.store.page.trial.k);
    k.set(path, l.stops === 0 && l.k > 0 ? l.k * s.k : l.k * 2 ** (s.stops - l.stops));
    this.store.set({ trial: { ...this.store.page.trial, k } });
    this.editor.edit(`set ${l.name} ${s.edits[0]?.value ?? ""}`, s.edits, merge);
  }
  nudge(path: string, by: number): void {
    const l = this.light(path);
    if (!l?.setting_path) this.store.set({ toast: l ? `${l.name} cannot be dimmed.` : "No light is selected." });
    else this.setting(path, l.stops + (Math.abs(by) < 1 && l.step_stops > Math.abs(by) ? Math.sign(by) * l.step_stops
      : by), `nudge-${path}`);
  }
  off(path: string): void {
    const v = this.store.page.view, l = this.light(path);
    if (v && l) this.editor.edit(`switch ${l.name} ${l.off ? "on" : "off"}`, edits.offEdits(v, l));
  }
  lock(path: string): void {
    const l = this.light(path);
    if (l && !l.house) this.editor.edit(`${l.lock ? "unlock" : "lock"} ${l.name}`, edits.lockEdits(l));
  }
  part(path: string, key: string, name: string): void {
    const l = this.light(path);
    if (l) this.editor.edit(`${key} of ${l.name}`, edits.partEdits(l, key, name));
  }
  remove(path: string): void {
    const l = this.light(path);
    if (!l || l.house) return;
    this.store.set({ light: "" });
    this.editor.edit(`remove ${l.name}`, [{ delete: l.path }]);
  }
  addLight(): void {
    const { view, kit } = this.store.page;
    const head = kit?.heads.find((h) => h.kind === "flash") ?? kit?.heads[0];
    if (view && head) this.editor.edit("add light", edits.addLightEdits(view, head.name));
  }
  addCamera(): void {
    const v = this.store.page.view;
    if (v) this.editor.edit("add camera", edits.addCameraEdits(v));
  }
  addSitter(): void {
    const v = this.store.page.view;
    if (v) this.editor.edit("add sitter", edits.addSitterEdits(v));
  }
  /** Opens the chart for a colour; a light's comes with its head. */
  pickColour(path: string): void {
    const owner = up(path), l = this.light(owner), n = find(this.forms.root, owner);
    const said = (k: string): string => n?.items?.[(n.keys ?? []).indexOf(k)]?.text ?? "";
    const [u, v] = l ? uvOf(l.xy[0], l.xy[1]) : [0, 0],
      what = l?.name ?? (said("name") || said("role") || path.replace(/.*\./, ""));
    void this.forms.pick(path, l?.head ?? said("head"), what, l && path.endsWith(".colour") ? { u, v } : null);
  }
  move(d: Drag, merge: string): void {
    const v = this.store.page.view, at = d.at;
    if (!v || !at) return;
    const light = this.light(d.path), panel = v.panels.find((q) => q.path === d.path),
      point = v.points.find((q) => q.path === d.path);
    const stand = (numbers: number | undefined) => edits.moveEdits(d.path, numbers ?? 2, at, d.view === "plan");
    const made: Record<string, () => [string, ReturnType<typeof stand>]> = {
      sitter: () => ["move sitter", edits.sitterEdits(d.path, at)],
      camera: () => ["move camera", stand(v.camera?.at_numbers)],
      light: () => [`move ${light?.name ?? "light"}`, stand(light?.at_numbers)],
      panel: () => [`move ${panel?.name || "panel"}`, stand(panel?.at_numbers)],
      aim: () => [`aim ${light?.name ?? panel?.name ?? "camera"}`, edits.aimEdits(d.path, at)],
      point: () => [`move ${point?.name ?? "point"}`, point ? edits.pointEdits(point, at) : []],
    };
    const [name, list] = made[d.what]?.() ?? ["", []];
    this.editor.edit(name, list, merge);
  }
  dial(which: "aperture" | "shutter" | "iso", step: 1 | -1): void {
    const c = this.store.page.view?.camera;
    const d: Dialled | undefined = c?.[which];
    if (!d) return;
    // Plus is always more light, by one step of the dial; several presses before the answer add up.
    const tried = this.store.page.trial[which];
    const from = tried === undefined ? 0 : d.steps.find((s) => s.value === tried)?.stops ?? 0;
    const next = d.steps.filter((s) => step * (s.stops - from) > 0.01).sort((x, y) => step * (x.stops - y.stops))[0];
    if (!next || next.text === d.text) return;
    this.store.set({ trial: { ...this.store.page.trial, [which]: next.value } });
    this.editor.edit(`set ${which === "iso" ? "ISO" : which} ${next.text.replace(/^ISO /, "")}`,
      [{ set: d.path, value: next.text }], `dial-${which}`);
  }
  whiteBalance(step: number): void {
    const c = this.store.page.view?.camera;
    const next = c && edits.whiteBalanceStep(c.white_balance, step);
    if (c && next) this.editor.edit(`white balance ${next}`,
        [{ set: `${c.path}.white balance`, value: next }], "dial-wb");
  }

  // The ladder.
  ringAt(i: number): number {
    const p = this.store.page, l = this.levels[i];
    if (!p.view || !p.readings || !l) return 0;
    return ringOf(p.view, p.readings, i, this.levels).stops;
  }
  /** Asks for a level; while balance works only the newest asking waits. */
  ring(i: number, stops: number, merge: string): Promise<void> {
    if (!Number.isFinite(this.levels[i]?.stops) || !Number.isFinite(stops)) {
      this.store.set({ toast: "There is no light there yet, so nothing can be asked for." });
      return Promise.resolve();
    }
    this.ringNext = { i, stops, merge };
    return this.balance();
  }
  private async balance(): Promise<void> {
    if (this.balancing) return;
    this.balancing = true;
    this.store.set({ asking: true });
    while (this.ringNext) {
      const { i, stops, merge } = this.ringNext;
      this.ringNext = null;
      const p = this.store.page, v = p.view, point = v?.points[i]?.name, level = this.levels[i];
      if (!v || !point || !level) break;
      const f = level.f * 2 ** ((stops - level.stops) / 2);
      try {
        const held = [edits.heldAs(v, point, stops, f)];
        const asked = { revision: p.state?.revision ?? 0, held, locks: [...p.locks] };
        const b = await ask<BalanceView>(`/api/setup/${p.setup}/balance`, asked);
        const wish = edits.wishEdits(v, point, stops, f,
          (n) => this.levels[v.points.findIndex((q) => q.name === n)]?.stops);
        this.editor.edit(`ask ${signed(stops)} at ${point}`, [...wish, ...(b.edits ?? [])], merge);
        while (!this.editor.idle) await new Promise((r) => setTimeout(r, 8));
      } catch (e) {
        const told = e instanceof Refused && e.status === 409 ? e.problem?.state : undefined;
        if (told && told.revision !== (p.state?.revision ?? 0)) {
          this.ringNext ??= { i, stops, merge };
          this.live.take(told);
        } else if (told?.draft)
          this.store.set({ toast: "The text has a mistake: mend it, then lights can be balanced." });
        else this.say(e);
      }
    }
    this.balancing = false;
    this.store.set({ asking: false });
  }
  /** A wish as a person writes it: stops, or a reading; nothing frees the point. */
  wishTyped(i: number, text: string): void {
    const l = this.levels[i], read = edits.wishRead(text), p = this.store.page;
    this.selectPoint(i);
    if (text.trim() === "") {
      if (p.view && p.readings && ringOf(p.view, p.readings, i, this.levels).held) this.hold(i);
    }
    else if (!read)
      this.store.set({
        toast: `“${text}” is no wish; write stops from mid-grey like −1.5, or what the meter shall read like f/4.` });
    else if (!l || !Number.isFinite(l.stops))
      this.store.set({ toast: "There is no light there yet, so nothing can be asked for." });
    else this.ring(i, read.stops ?? l.stops + 2 * Math.log2((read.f ?? l.f) / l.f), "");
    this.store.set({});
  }
  /** Holds the ring where the level is, or frees it. */
  hold(i: number): void {
    const v = this.store.page.view, point = v?.points[i], l = this.levels[i];
    if (!v || !point || !l || !this.store.page.readings) return;
    const held = ringOf(v, this.store.page.readings, i, this.levels).held;
    if (held) this.editor.edit(`free ${point.name}`, edits.freeEdits(v, point.name));
    else this.editor.edit(`hold ${point.name}`, edits.wishEdits(v, point.name, l.stops, l.f, () => undefined));
  }

  // The picture.
  async spot(x: number, y: number): Promise<void> {
    const p = this.store.page;
    try {
      this.store.set({ spot: await ask<SpotView>(`/api/setup/${p.setup}/spot?x=${x.toFixed(4)}&y=${y.toFixed(4)}`) });
    } catch (e) { this.say(e); }
  }
  private spotTimer = 0;
  /** Reads the spot anew once a change has been answered; until then the picture's own layers tell. */
  refreshSpot(): void {
    const p = this.store.page, s = p.spot;
    if (!s || !p.view || s.revision >= p.view.revision || p.drag || this.spotTimer || p.link === "lost") return;
    this.spotTimer = window.setTimeout(() => {
      this.spotTimer = 0;
      const now = this.store.page;
      if (now.spot === s && !now.drag && this.editor.idle) void this.spot(s.x, s.y);
    }, 500);
  }
  /** Keeps the spot as a point under a name; without one, or under one that is taken: 'spot 1' and on. */
  keepSpot(name = ""): void {
    const { spot, view } = this.store.page;
    if (!spot?.at || !view) return;
    const taken = (x: string) => view.points.some((p) => p.name.toLowerCase() === x.toLowerCase()), wish = name.trim();
    let n = 1;
    while (taken(`spot ${n}`)) n++;
    const called = wish && !taken(wish) ? wish : `spot ${n}`;
    this.editor.edit(`keep ${called}`, edits.keepEdits(view, called, spot.at));
    this.store.set({ spot: null });
  }

  // Ways out.
  async findWays(): Promise<void> {
    const p = this.store.page;
    if (p.searching >= 0 || (p.ways && p.ways.revision === p.view?.revision && p.ways.ways.name === p.view.name))
      return;
    this.store.set({ searching: 0, ways: null, way: "" });
    try {
      this.store.set({ ways: await ask<WaysView>(`/api/setup/${p.setup}/ways`) });
    } catch (e) {
      if (!(e instanceof Refused && e.status === 409)) this.say(e);
    }
    this.store.set({ searching: -1 });
  }
  takeWay(way: number): void {
    const t = this.store.page.ways?.takes[way];
    if (t) this.editor.edit(t.name, t.edits);
  }

  // The text.
  private mistake = -1;
  /** Goes to the next mistake of the text, from the first. */
  nextMistake(): void {
    const list = (this.store.page.state?.messages ?? []).filter((x) => x.severity === "error"),
      x = list[(this.mistake = (this.mistake + 1) % Math.max(1, list.length))];
    this.goTo(x?.at?.line ?? 1, x?.at?.col ?? 1, x?.at?.len ?? 1);
  }
  goTo(line: number, col: number, len: number): void {
    this.pane("text");
    let tries = 0;
    const there = (): void => {
      const a = document.getElementById("text");
      if (!(a instanceof HTMLTextAreaElement) || (a.value === "" && ++tries < 40)) { setTimeout(there, 50); return; }
      const at = a.value.split("\n").slice(0, line - 1).reduce((k, l) => k + l.length + 1, 0) + Math.max(0, col - 1);
      a.focus();
      a.setSelectionRange(at, at + len);
      a.scrollTop = Math.max(0, (line - 6) * 18);
    };
    setTimeout(there, 60);
  }

  // Undo, disk.
  /** Takes the last change back, or does it again; it is called in its turn. */
  async step(way: "undo" | "redo"): Promise<void> {
    const waits = await this.typing.first(way); // what is typed is a step of its own first
    if (waits) { this.store.set({ toast: waits }); return; }
    while (!this.editor.idle) await new Promise((r) => setTimeout(r, 10));
    const s = this.store.page.state;
    if (!s || !(way === "undo" ? s.undo : s.redo)) return;
    this.store.set({ pending: true });
    await this.stepFrom(way, s);
    this.store.set({ pending: false });
    if (this.store.page.pane === "text") void this.live.fetchText();
  }
  /** Asks until there is an answer: a step that was done although its answer was lost is not done again. */
  private async stepFrom(way: "undo" | "redo", s: State): Promise<void> {
    for (let now = s, n = 0; ; n++) {
      try { this.live.take(await ask<State>(`/api/${way}`, { revision: now.revision })); return; } catch (e) {
        const told = e instanceof Refused ? e.problem?.state : undefined;
        if (e instanceof TypeError && n < 100) { await new Promise((r) => setTimeout(r, 600)); continue; }
        if (!told || told.step !== s.step || told.run !== s.run || n >= 100) {
          if (told && n > 0) this.live.take(told); else this.say(e);
          return;
        }
        this.live.take(now = told); // the file was saved, or followed: what is to be undone is the same
      }
    }
  }

  private readonly turns: (() => unknown)[] = [];
  private taking = false;
  /**
   * Does what goes by what there is, once all that was asked before is answered
   * and seen: no press is lost, and none acts on what is past.
   */
  inTurn(act: () => unknown): void {
    this.turns.push(act);
    if (!this.taking) void this.takeTurns();
    else this.store.set({ turns: this.turns.length });
  }
  private async takeTurns(): Promise<void> {
    this.taking = true;
    for (let act; (act = this.turns[0]);) {
      if (!this.settled) await this.settle();
      this.turns.shift();
      this.store.set({ turns: this.turns.length });
      try { await act(); } catch (e) { this.say(e); }
    }
    this.taking = false;
  }
  /** What was asked is answered and seen. While the link is lost nothing is waited for. */
  private get settled(): boolean {
    const p = this.store.page;
    if (p.pane === "edit" && p.tree && !p.treeLost && p.tree.revision < (p.state?.revision ?? 0) &&
        p.link !== "lost") return false;
    return p.link === "lost" || (this.editor.idle && !this.balancing && !p.pending &&
      (!p.view || p.view.revision >= (p.state?.good_revision ?? 0)));
  }
  private async settle(): Promise<void> {
    this.store.set({ turns: this.turns.length });
    for (let k = 0; k < 500 && !this.settled; k++) await new Promise((r) => setTimeout(r, 10));
  }
  typed(text: string, base: string): void { this.typing.typed(text, base); }
  async disk(take: "theirs" | "ours"): Promise<void> {
    try {
      this.live.take(await ask<State>("/api/disk", { revision: this.store.page.state?.revision ?? 0, take }));
    } catch (e) { this.say(e); }
  }
}
