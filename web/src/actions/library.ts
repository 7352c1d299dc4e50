// What a person does in the library: finds, narrows, looks for what is near, compares, lights again.
import type { Comparison, LibraryView, RelightView, SetupRef } from "../model/wire.ts";
import { ask, Refused } from "../state/wire.ts";
import type { Desk } from "./desk.ts";

/** The same setup of the library. */
export const sameRef = (a: SetupRef, b: SetupRef): boolean => a.file === b.file && a.setup === b.setup;

export class LibraryHand {
  private work: AbortController | null = null;

  constructor(private readonly desk: Desk) {}

  private get page() { return this.desk.store.page; }

  /** Does one thing at a time: what is asked anew ends what was in work. */
  private async busy<T>(what: "find" | "compare" | "relight", path: string, body: unknown,
    took: (x: T) => void): Promise<void> {
    this.work?.abort();
    const mine = (this.work = new AbortController()), s = this.desk.store;
    s.set({ libBusy: what, libDone: 0, libFailed: "" });
    try {
      const x = await ask<T>(path, body, body === undefined ? "GET" : "POST", mine.signal);
      if (this.work === mine) took(x);
    } catch (e) {
      if (this.work === mine && !mine.signal.aborted) s.set({ libFailed: e instanceof Refused ? e.message :
        "the program does not answer" });
    }
    if (this.work === mine) { this.work = null; s.set({ libBusy: "" }); }
  }

  /** Looks through the folder. */
  find(): Promise<void> {
    const p = this.page, q = new URLSearchParams();
    if (p.libFolder) q.set("folder", p.libFolder);
    if (p.libLike) { q.set("like", p.libLike.file); q.set("setup", p.libLike.setup); }
    else if (p.libQuery) q.set("q", p.libQuery);
    if (!p.libLike) for (const x of p.libPicks) q.append("pick", x);
    return this.busy<LibraryView>("find", `/api/library?${q.toString()}`, undefined, (library) =>
      this.desk.store.set({ library }));
  }

  /** Stops what is in work. */
  stop(): void {
    this.work?.abort();
    this.work = null;
    this.desk.store.set({ libBusy: "" });
  }

  asked(libQuery: string): void { this.desk.store.set({ libQuery, libLike: null }); void this.find(); }

  folder(libFolder: string): void {
    this.desk.store.set({ libFolder: libFolder.trim(), libPicks: [], libLike: null, libMarks: [], compared: null,
      relit: null });
    void this.find();
  }

  pick(x: string): void {
    const p = this.page;
    this.desk.store.set({ libLike: null, libPicks: p.libPicks.includes(x) ? p.libPicks.filter((y) => y !== x) :
      [...p.libPicks, x] });
    void this.find();
  }

  like(x: SetupRef | null): void { this.desk.store.set({ libLike: x }); void this.find(); }

  /** Marks a setup, or takes the mark away; the third takes the place of the first. */
  mark(x: SetupRef): void {
    const had = this.page.libMarks, now = had.some((y) => sameRef(x, y)) ? had.filter((y) => !sameRef(x, y)) :
      [...had, x].slice(-2);
    this.desk.store.set({ libMarks: now, compared: null, relit: null });
    if (now.length === 2) void this.compare("");
  }

  compare(why: string): Promise<void> {
    const [a, b] = this.page.libMarks;
    if (!a || !b) return Promise.resolve();
    return this.busy<Comparison>("compare", "/api/library/compare", { a, b, ...(why ? { why } : {}) }, (compared) =>
      this.desk.store.set({ compared }));
  }

  relight(file: string): Promise<void> {
    this.desk.store.set({ relitOf: file, relit: null, compared: null, libMarks: [] });
    return this.busy<RelightView>("relight", "/api/library/relight", { file }, (relit) =>
      this.desk.store.set({ relit }));
  }

  /** Takes the setup that was lit again into the shoot: one step of undo. */
  take(): void {
    const p = this.page, r = p.relit;
    if (!r) return;
    this.desk.editor.edit(`light ${r.name} again`, [{ append: "setups", value: r.value }]);
    this.desk.store.set({ relit: null, relitOf: "", toast: `${r.name} is the shoot’s last setup now.` });
  }

  close(): void { this.desk.store.set({ relit: null, relitOf: "", compared: null, libMarks: [] }); }
}
