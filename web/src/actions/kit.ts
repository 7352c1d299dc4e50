// What a person does on the Kit screen: looks for a thing, adds one like it, types what its maker's sheet says,
// takes files in, logs a reading, keeps and forgets what readings taught.
import type { GearView, ImportView, LearnView, OwnKitView, State } from "../model/wire.ts";
import type { GearPart, Pick, SheetDraft } from "../state/gear.ts";
import { ask, Refused } from "../state/wire.ts";
import type { Desk } from "./desk.ts";

const query = (x: Pick): string => new URLSearchParams({ list: x.list, name: x.name }).toString();

const because = (e: unknown): string => (e instanceof Refused ? e.message : "the program does not answer");

/** What a person says of a file: its entry's name, whose light it is, a mode, what it is of, its lamps. */
interface As { as?: string; head?: string; mode?: string; of?: string; lamp_set?: string }

export class GearHand {
  private readonly files = new Map<number, File>();
  private readonly said = new Map<File, As>();
  private asked = "";
  private thingAsked = "";
  private learnAsked = "";
  private learning: AbortController | null = null;

  constructor(private readonly desk: Desk) {}

  private get page() { return this.desk.store.page; }
  private set(x: Partial<GearPart>): void { this.desk.store.set(x); }

  /** Asks for what the screen shows where that is older than the shoot. */
  follow(): void {
    const p = this.page, rev = p.state?.good_revision ?? 0;
    if (p.pane !== "kit" || !p.state || p.link === "lost") return;
    const list = `${p.state.run} ${rev} ${p.gearQuery}`,
      thing = p.gearPick ? `${p.state.run} ${rev} ${query(p.gearPick)}` : "",
      learn = `${p.state.run} ${rev} ${p.logNews}`;
    if (list !== this.asked) { this.asked = list; void this.find(list); }
    if (thing !== this.thingAsked) { this.thingAsked = thing; void this.look(thing); }
    if (p.gearTab === "learned" && rev > 0 && learn !== this.learnAsked) { this.learnAsked = learn; void this.learn(); }
  }

  private async find(key: string): Promise<void> {
    this.set({ gearBusy: this.page.gearBusy || "find" });
    try {
      const gear = await ask<OwnKitView>(`/api/kit/own?${new URLSearchParams({ q: this.page.gearQuery }).toString()}`);
      if (key === this.asked) this.set({ gear });
    } catch (e) { this.desk.say(e); }
    if (this.page.gearBusy === "find") this.set({ gearBusy: "" });
  }

  private async look(key: string): Promise<void> {
    const x = this.page.gearPick;
    if (!x) { this.set({ gearThing: null }); return; }
    try {
      const gearThing = await ask<GearView>(`/api/kit/thing?${query(x)}`);
      if (key !== this.thingAsked) return;
      // it was taken out, or an undo took it back
      this.set(gearThing.item.name ? { gearThing } : { gearPick: null, gearThing: null });
    } catch (e) { if (key === this.thingAsked) this.desk.say(e); }
  }

  private async learn(): Promise<void> {
    this.learning?.abort();
    const mine = (this.learning = new AbortController());
    this.set({ gearBusy: "learn", lessonsDone: 0, lessonsFailed: "" });
    try {
      const lessons = await ask<LearnView>("/api/learn", undefined, "GET", mine.signal);
      if (this.learning === mine) this.set({ lessons });
    } catch (e) { if (this.learning === mine) this.set({ lessonsFailed: because(e) }); }
    if (this.learning === mine) { this.learning = null; this.set({ gearBusy: "" }); }
  }

  /** Stops the metering behind learning. */
  stop(): void {
    this.learning?.abort();
    this.learning = null;
    this.set({ gearBusy: "", lessonsFailed: "It was stopped: what stands here is older." });
  }

  again(): void { this.learnAsked = ""; this.follow(); }

  tab(gearTab: GearPart["gearTab"]): void { this.set({ gearTab }); }
  search(gearQuery: string): void { this.set({ gearQuery: gearQuery.trim() }); }

  pick(x: Pick | null): void {
    this.set({ gearPick: x, gearThing: null, gearSheet: {}, likeName: x ? `my ${x.name}` : "",
      gearFailed: null, gearTab: "things" });
    if (x) this.desk.sight("#kit .gearwork");
  }

  /** Makes a change of the kit; a refusal stands where it was asked. It reports whether it was made. */
  private async change(path: string, body: unknown, at: string): Promise<boolean> {
    this.set({ gearBusy: "change", gearFailed: null });
    try {
      this.desk.live.take(await ask<State>(path, body ?? {}, "POST"));
      this.set({ gearBusy: "" });
      return true;
    } catch (e) {
      this.set({ gearBusy: "", gearFailed: { at, text: because(e) } });
      return false;
    }
  }

  /** Copies the chosen thing under a name. */
  async addLike(name: string): Promise<void> {
    const x = this.page.gearPick;
    if (x && await this.change("/api/kit/add", { list: x.list, like: x.name, name }, "like")) {
      this.pick({ list: x.list, name: name.trim().replace(/\s+/g, " ") });
      this.desk.store.set({ toast: `${name.trim()} is in the kit: type what you know of it better.` });
    }
  }

  setting(key: string, value: string): void {
    const x = this.page.gearPick;
    if (x) void this.change("/api/kit/set", { ...x, edits: [{ key, value }] }, key);
  }

  remove(): void {
    const x = this.page.gearPick;
    if (x) void this.change("/api/kit/remove", x, "remove");
  }

  draft(field: string, text: string): void { this.set({ gearSheet: { ...this.page.gearSheet, [field]: text } }); }

  /** Uses the figures of the maker's sheet as they are typed. */
  async sheet(): Promise<void> {
    const x = this.page.gearPick, edits = sheetEdits(this.page.gearThing, this.page.gearSheet);
    if (!x) return;
    if (typeof edits === "string") { this.set({ gearFailed: { at: "sheet", text: edits } }); return; }
    if (await this.change("/api/kit/set", { ...x, edits }, "sheet")) this.set({ gearSheet: {} });
  }

  /** Takes the figures of the sheet out again. */
  async noSheet(): Promise<void> {
    const x = this.page.gearPick;
    const edits = ["guide number", "guide iso", "gives", "rated with"].map((key) => ({ key, value: "" }));
    if (x && await this.change("/api/kit/set", { ...x, edits }, "sheet")) this.set({ gearSheet: {} });
  }

  // Files.
  async read(list: readonly File[], more: As = {}): Promise<void> {
    this.set({ gearTab: "files", gearBusy: "import" });
    for (const f of list) {
      const q = new URLSearchParams({ name: f.name, ...more });
      try {
        const res = await fetch(`/api/kit/import?${q.toString()}`, { method: "POST", body: f,
          headers: { "Content-Type": "application/octet-stream" } });
        const data = await res.json() as ImportView & { error?: string };
        if (!res.ok) throw new Refused(data.error ?? "The program could not read it.", res.status, null);
        this.files.set(data.id, f);
        this.said.set(f, more);
        this.set({ imports: [...this.page.imports.filter((x) => x.file !== data.file), data],
          importBad: this.page.importBad.filter((x) => x.file !== f.name) });
      } catch (e) {
        this.set({ importBad: [...this.page.importBad.filter((x) => x.file !== f.name),
          { file: f.name, text: because(e) }] });
      }
    }
    this.set({ gearBusy: "" });
  }

  /** Reads a file again with what else is said of it. */
  readAs(id: number, more: As): void {
    const f = this.files.get(id);
    const all = Object.entries({ ...(f && this.said.get(f)), ...more }).filter((x) => x[1]);
    if (f) void this.read([f], Object.fromEntries(all));
  }

  drop(id: number): void {
    this.files.delete(id);
    this.set({ imports: this.page.imports.filter((x) => x.id !== id) });
  }

  async takeFiles(): Promise<void> {
    const list = this.page.imports.filter((x) => x.entries.length > 0);
    if (!await this.change("/api/kit/take", { ids: list.map((x) => x.id) }, "take")) return;
    const first = list[0]?.entries[0], names = list.flatMap((x) => x.entries.map((e) => e.name));
    this.files.clear();
    this.set({ imports: [], importBad: [] });
    this.desk.store.set({ toast: `${names.join(", ")} ${names.length === 1 ? "is" : "are"} in the kit.` });
    if (first) this.pick({ list: first.list, name: first.name });
  }

  // Readings.
  async reading(reads: string): Promise<void> {
    const p = this.page, setup = p.view?.name ?? "", point = readPointOf(p.view?.points.map((x) => x.name) ?? [],
      p.readPoint);
    if (await this.logged("/api/learn/read", { setup, point, alone: p.readAlone, reads }, "read"))
      this.set({ readText: "" });
  }

  back(seq: number, again: boolean): void { void this.logged("/api/learn/back", { seq, again }, "back"); }

  private async logged(path: string, body: unknown, at: string): Promise<boolean> {
    this.set({ gearFailed: null });
    try {
      await ask(path, body);
      this.set({ logNews: this.page.logNews + 1 });
      return true;
    } catch (e) {
      this.set({ gearFailed: { at, text: because(e) } });
      return false;
    }
  }

  async keep(): Promise<void> {
    if (await this.change("/api/learn/keep", undefined, "keep"))
      this.desk.store.set({ toast: "Kept: every prediction uses it from now on. Undo takes it back." });
  }

  forget(what: string): void { void this.change("/api/learn/forget", { what }, "forget"); }
}

/** The point that a reading is of: the one chosen, else the first. */
export const readPointOf = (points: readonly string[], chosen: string): string =>
  (points.includes(chosen) ? chosen : points[0] ?? "");

/** The settings that figures of a sheet become, or what is missing of them, as a sentence. */
export function sheetEdits(v: GearView | null, d: SheetDraft): { key: string; value: string }[] | string {
  const s = v?.sheet;
  if (!s) return "Only a head has such figures.";
  const guide = (d.guide ?? s.guide).trim(), iso = (d.iso ?? s.iso).trim(), lux = (d.lux ?? s.lux).trim(),
    at = (d.at ?? s.at).trim(), rated = { key: "rated with", value: (d.with ?? s.with).trim() },
    // The one typed last is meant where both stand there.
    byGuide = s.flash && guide !== "" && (d.lux === undefined || d.lux.trim() === "" || d.guide !== undefined);
  if (byGuide) return [{ key: "gives", value: "" }, { key: "guide number", value: guide }, { key: "guide iso",
    value: iso.replace(/^iso\s*/i, "") }, rated];
  if (lux === "") return s.flash ? "Type its guide number in metres, or lux seconds and the distance they are for."
    : "Type the lux that the sheet states and the distance they are for.";
  if (at === "") return "Type the distance that the sheet states them for, such as 2 m.";
  const unit = s.flash ? "lux seconds" : "lux", bare = /^[\d.,]+$/;
  return [{ key: "guide number", value: "" }, { key: "guide iso", value: "" }, { key: "gives",
    value: `{${unit}: ${quoted(bare.test(lux) ? `${lux} ${s.flash ? "lx s" : "lx"}` : lux)}, at: ${
      quoted(bare.test(at) ? `${at} m` : at)}}` }, rated];
}

/** Text in quotes, as YAML wants it inside braces. */
const quoted = (x: string): string => JSON.stringify(x);
