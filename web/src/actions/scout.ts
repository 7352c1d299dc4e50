// What a person does on the Scout screen: brings photographs, presses what is in them, puts it into the
// shoot; walks round the room.
import { walked, splitSide, startWalk, type Side } from "../model/walk.ts";
import type { Edit, Reading, ScoutAsk, ScoutLights, ScoutPhoto, ScoutStation, ScoutView, Take } from "../model/wire.ts";
import { noMarks, type Marks, type Pressed, type ScoutPart } from "../state/scout.ts";
import { foundMarks, keepMarks } from "../state/memory.ts";
import { ask, Refused, upload } from "../state/wire.ts";
import { readLength } from "../units/measures.ts";
import { plain } from "../units/stops.ts";
import type { Desk } from "./desk.ts";
import { isMaterials, isScan, ScanHand } from "./scan.ts";

/** What was pressed in the photograph that is shown. */
export const marksOf = (p: Pick<ScoutPart, "scMarks" | "scPhoto">): Marks => p.scMarks.get(p.scPhoto) ?? noMarks;

/** A share as typed, '18', '18 %', '0.18': 0 to 1; not understood: null. */
export function shareOf(text: string): number | null {
  const t = text.trim().replace(",", ".").replace(/\s*%$/, ""), v = t === "" ? Number.NaN : Number(t);
  const share = v > 1 || /%\s*$/.test(text) ? v / 100 : v;
  return share > 0 && share <= 1 ? share : null;
}

/** Kelvin as typed, '3200', '3200 K'; not understood: null. */
export function kelvinOf(text: string): number | null {
  const v = Number(text.trim().replace(/\s*k$/i, ""));
  return v >= 1500 && v <= 20000 ? v : null;
}

/** What is asked of a photograph by what was pressed in it. */
export function askOf(id: number, x: Marks): ScoutAsk {
  const known = shareOf(x.known), white = kelvinOf(x.white);
  return {
    id, spots: x.spots.map((s, i) => ({ name: s.target || `spot ${i + 1}`, x: s.x, y: s.y })),
    ...(x.card && known ? { card: { x: x.card.x, y: x.card.y, reflectance: known } } : {}),
    ...(white ? { white_kelvin: white } : {}),
  };
}

export class ScoutHand {
  readonly scan: ScanHand;
  private work: AbortController | null = null;

  constructor(private readonly desk: Desk) { this.scan = new ScanHand(desk); }

  private get page() { return this.desk.store.page; }

  /** Files that were chosen or dropped: scans by their name, else photographs. */
  files(list: readonly File[]): void {
    const scan = list.filter((f) => isScan(f.name)).pop(), others = list.filter((f) => !isScan(f.name)),
      // An OBJ that comes with its materials brings its textures, else pictures are photographs.
      all = list.some((f) => isMaterials(f.name)), photos = all ? [] : others;
    if (photos.length) { this.desk.store.set({ scPart: "photos" }); void this.bring(photos); }
    if (scan) void this.scan.bring(scan, all ? others : []);
    else if (all) this.desk.store.set({ scPart: "scan",
      scScanBad: "An .mtl holds the materials of an OBJ: bring it together with the OBJ and its textures." });
  }

  /** Asks one thing; what is asked anew of the same kind ends what was in work. */
  async busy<T>(what: ScoutPart["scBusy"], path: string, body: unknown, took: (x: T) => void): Promise<void> {
    const s = this.desk.store, mine = new AbortController();
    this.work?.abort();
    this.work = mine;
    s.set({ scBusy: what, scFailed: "" });
    try {
      const x = await ask<T>(path, body, body === undefined ? "GET" : "POST", mine.signal);
      if (this.work === mine) took(x);
    } catch (e) {
      if (this.work === mine) s.set({ scFailed: e instanceof Refused ? e.message : "the program does not answer" });
    }
    if (this.work === mine) { this.work = null; s.set({ scBusy: "" }); }
  }

  private asked = -1;
  /** What of the shoot can be told hangs on its text. */
  follow(): void {
    const p = this.page, rev = p.state?.good_revision ?? 0;
    if (p.pane !== "scout" || this.asked === rev || p.link === "lost") return;
    this.asked = rev;
    void this.refresh();
  }
  async refresh(): Promise<void> {
    try {
      const scout = await ask<ScoutView>("/api/scout"), p = this.page,
        there = scout.photos.some((x) => x.id === p.scPhoto);
      this.desk.store.set({ scout, scScan: scout.scan });
      this.recall(scout);
      if (!there) this.show(scout.photos[scout.photos.length - 1]?.id ?? 0);
      else if (marksOf(p).corners.length > 0) void this.stand();
    } catch (e) { this.asked = -1; this.desk.say(e); }
  }

  /** Brings photographs in, one after the other; the last is shown. */
  async bring(files: readonly File[]): Promise<void> {
    const s = this.desk.store, failed: string[] = [];
    const work = this.sending = new AbortController();
    for (const f of files) {
      s.set({ scBusy: "photo", scFailed: "", scSent: 0 });
      try {
        const x = await upload<ScoutPhoto>(`/api/scout/photo?name=${encodeURIComponent(f.name)}`, f, work.signal,
          (scSent) => s.set({ scSent }));
        const scout = s.page.scout ?? await ask<ScoutView>("/api/scout");
        const now = { ...scout, photos: [...scout.photos.filter((y) => y.id !== x.id), x].slice(-8) };
        s.set({ scout: now });
        this.recall(now);
        this.show(x.id);
      } catch (e) {
        if (work.signal.aborted) break;
        failed.push(e instanceof Refused ? e.message
          : `${f.name} did not come through: the program does not answer`);
      }
    }
    s.set({ scBusy: "", scFailed: failed.join("; ") });
  }

  private sending: AbortController | null = null;
  /** Stops photographs that are being brought; those that are there stay. */
  stopBringing(): void { this.sending?.abort(); }

  show(scPhoto: number): void {
    this.desk.store.set({ scPhoto, scRead: null, scLights: null, scStation: null, scStationWhy: "", scCorner: -1,
      scCursor: null });
    if (scPhoto) { void this.read(); void this.stand(); }
  }

  drop(id: number): void {
    const marks = new Map(this.page.scMarks), key = this.keyOf(id);
    marks.delete(id);
    if (key) keepMarks(key, null);
    this.desk.store.set({ scMarks: marks });
    void ask<ScoutView>("/api/scout/drop", { id, spots: [] }).then((scout) => {
      this.desk.store.set({ scout });
      if (id === this.page.scPhoto) this.show(scout.photos[scout.photos.length - 1]?.id ?? 0);
    }, (e) => this.desk.say(e));
  }

  private mark(x: Partial<Marks>): void {
    const p = this.page, marks = new Map(p.scMarks), now = { ...marksOf(p), ...x }, key = this.keyOf(p.scPhoto);
    marks.set(p.scPhoto, now);
    this.desk.store.set({ scMarks: marks });
    if (key) keepMarks(key, now);
  }

  private keyOf(id: number): string { return this.page.scout?.photos.find((x) => x.id === id)?.key ?? ""; }

  /** What was pressed in a photograph before, here or before the page was loaded anew. */
  private recall(scout: ScoutView): void {
    const marks = new Map(this.page.scMarks);
    for (const x of scout.photos) {
      const had = marks.has(x.id) ? null : foundMarks<Marks>(x.key);
      if (had) marks.set(x.id, { ...noMarks, ...had });
    }
    if (marks.size > this.page.scMarks.size) this.desk.store.set({ scMarks: marks });
  }

  /** A press in the photograph, by the tool in the hand. */
  press(at: Pressed): void {
    const p = this.page, x = marksOf(p), tool = p.scTool;
    if (!p.scPhoto) return;
    const place = { x: Math.round(at.x * 100) / 100, y: Math.round(at.y * 100) / 100 };
    if (tool === "card") { this.mark({ card: place }); this.desk.store.set({ scTool: "spot" }); }
    if (tool === "spot") this.mark({ spots: [...x.spots, { ...place, target: "", taken: false }] });
    if (tool === "corner") {
      this.mark({ corners: [...x.corners, { ...place, place: "" }] });
      this.desk.store.set({ scCorner: x.corners.length });
      return;
    }
    this.again();
  }

  /** What was measured is measured anew: a card or a white changes all of it. */
  private again(): void {
    this.desk.store.set({ scLights: null });
    void this.read();
  }
  async read(): Promise<void> {
    const p = this.page, x = marksOf(p), id = p.scPhoto;
    if (!id) return;
    try {
      const scRead = await ask<Reading>("/api/scout/read", askOf(id, x));
      // What was pressed meanwhile is asked by its own press.
      if (this.page.scPhoto === id && marksOf(this.page).spots.length === x.spots.length)
        this.desk.store.set({ scRead, scFailed: "" });
    } catch (e) { this.desk.store.set({ scFailed: e instanceof Refused ? e.message : "the program does not answer" }); }
  }

  known(known: string): void { this.mark({ known }); this.again(); }
  white(white: string): void { this.mark({ white }); this.again(); }
  noCard(): void { this.mark({ card: null }); this.again(); }
  unspot(n: number): void { this.mark({ spots: marksOf(this.page).spots.filter((_, i) => i !== n) }); this.again(); }
  target(n: number, target: string): void {
    this.mark({ spots: marksOf(this.page).spots.map((s, i) => (i === n ? { ...s, target, taken: false } : s)) });
    void this.read();
  }

  /** Puts a spot into the shoot: one step of undo. */
  put(n: number): Promise<void> {
    const p = this.page, x = marksOf(p), spot = x.spots[n], all = askOf(p.scPhoto, x), one = all.spots[n];
    if (!spot?.target || !one) return Promise.resolve();
    return this.busy<Take>("put", "/api/scout/put", { ask: { ...all, spots: [one] }, target: spot.target }, (t) => {
      this.desk.editor.edit(t.name, t.edits);
      this.mark({ spots: marksOf(this.page).spots.map((s, i) => (i === n ? { ...s, taken: true } : s)) });
      this.desk.store.set({ toast: `${spot.target} is as the photograph says; undo takes it back.` });
    });
  }

  lights(): Promise<void> {
    const p = this.page;
    return this.busy<ScoutLights>("lights", "/api/scout/lights", { ...askOf(p.scPhoto, marksOf(p)), spots: [] },
      (scLights) => this.desk.store.set({ scLights }));
  }

  // The camera by its corners.
  corner(n: number): void { this.desk.store.set({ scCorner: this.page.scCorner === n ? -1 : n }); }
  uncorner(n: number): void {
    this.mark({ corners: marksOf(this.page).corners.filter((_, i) => i !== n) });
    this.desk.store.set({ scCorner: -1 });
    void this.stand();
  }
  /** Names a corner: n, or the one that is to be named. */
  name(place: string, n = this.page.scCorner): void {
    const x = marksOf(this.page);
    if (!x.corners[n]) return;
    this.mark({ corners: x.corners.map((c, i) => (i === n ? { ...c, place } : c)) });
    this.desk.store.set({ scCorner: -1 });
    void this.stand();
  }
  stand(): Promise<void> {
    const p = this.page, named = marksOf(p).corners.filter((c) => c.place !== ""), s = this.desk.store;
    if (named.length < 4 || !p.scPhoto) { s.set({ scStation: null, scStationWhy: "" }); return Promise.resolve(); }
    s.set({ scBusy: "stand" });
    return ask<ScoutStation>("/api/scout/stand", { id: p.scPhoto, setup: p.setup, corners: named }).then(
      (scStation) => s.set({ scStation, scStationWhy: "", scBusy: "" }),
      (e) => s.set({ scStation: null, scStationWhy: e instanceof Refused ? e.message : "the program does not answer",
        scBusy: "" }));
  }
  takeStand(): void {
    const t = this.page.scStation?.take;
    if (t) this.desk.editor.edit(t.name, t.edits);
  }

  // The walk.
  private walk(walk: readonly Side[]): void { this.desk.store.set({ walk }); }
  /** The length of a side as typed, perhaps with its turn; in the last side the next one is begun. */
  length(n: number, text: string): void {
    const p = this.page, s = splitSide(text),
      walk = p.walk.map((x, i) => (i === n ? { length: s.length, turn: s.turn || x.turn } : x));
    if (n === walk.length - 1 && s.length !== "" && walk.length < 60) walk.push({ length: "", turn: "left" });
    this.walk(walk);
  }
  turn(n: number, turn: string): void { this.walk(this.page.walk.map((x, i) => (i === n ? { ...x, turn } : x))); }
  unside(n: number): void {
    const walk = this.page.walk.filter((_, i) => i !== n);
    this.walk(walk.length ? walk : startWalk());
  }
  height(walkHeight: string): void { this.desk.store.set({ walkHeight }); }
  restart(): void { this.walk(startWalk()); this.desk.open("walklen-0"); }

  /** Writes the room as walked: one step of undo. */
  write(): void {
    const p = this.page, w = walked(p.walk, p.units), high = heightOf(p);
    if (w.why || high === null) return;
    this.desk.editor.edit("walk round the room", walkEdits(p.scout?.room ?? "none", w.outline, high));
    this.desk.store.set({ toast: "The room is as walked; undo takes it back." });
  }
}

/** The ceiling's height, metres: as typed, else as it is; not known: null. */
export function heightOf(p: Pick<ScoutPart, "walkHeight" | "scout"> & { units: Parameters<typeof readLength>[1] }):
  number | null {
  const v = p.walkHeight.trim() === "" ? p.scout?.ceiling ?? 0 : readLength(p.walkHeight, p.units);
  return v !== null && v > 0 ? v : null;
}

/** The edits that write an outline and a height, over what says the room now. */
export function walkEdits(room: ScoutView["room"], outline: readonly (readonly number[])[], high: number): Edit[] {
  const corners = `[${outline.map((c) => `[${c.map((v) => plain(v, 3)).join(", ")}]`).join(", ")}]`,
    ceiling = `${plain(high, 3)} m`;
  if (room === "none") return [{ set: "room", value: `{outline: ${corners}, ceiling: ${ceiling}}` }];
  return [...(room === "size" ? [{ delete: "room.size" }] : []), { set: "room.outline", value: corners },
    { set: "room.ceiling", value: ceiling }];
}
