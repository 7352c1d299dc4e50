// What a person does with a phone's scan on the Scout screen: brings it, says what it is in and which way
// is up, takes people and rubbish out of it, writes it into the shoot.
import type { ScanAsk, ScanView, ScoutView, Take } from "../model/wire.ts";
import type { ScoutPart } from "../state/scout.ts";
import { ask, Refused, upload } from "../state/wire.ts";
import type { Desk } from "./desk.ts";
import { shareOf } from "./scout.ts";

/** Whether a file is a scan, by its name. */
export const isScan = (name: string): boolean => /\.(glb|gltf|obj|ply|stl)$/i.test(name);

/** Whether a file is an OBJ's materials. */
export const isMaterials = (name: string): boolean => /\.mtl$/i.test(name);

/** What is said of a scan and of the files that follow it. */
const scanQuery = (f: File, beside: readonly File[]): string => new URLSearchParams([["name", f.name],
  ...beside.map((x) => ["with", `${x.name}:${x.size}`])]).toString();

/** A box as typed, 'x, y, z, x, y, z' in metres, its low corner first; not understood: null. */
export function boxOf(text: string): number[] | null {
  const v = text.trim().replace(/\u2212/g, "-").split(/[\s;]+|,\s*/).filter((x) => x !== "").map(Number);
  if (v.length !== 6 || !v.every(Number.isFinite)) return null;
  const at = (i: number): number => v[i] ?? 0, k = [0, 1, 2];
  return [...k.map((i) => Math.min(at(i), at(i + 3))), ...k.map((i) => Math.max(at(i), at(i + 3)))];
}

/** Why a scan cannot be written; empty: it can. */
export function whyNoScan(p: Pick<ScoutPart, "scScan" | "scBusy">): string {
  const f = p.scScan?.found;
  if (p.scBusy === "scan" || p.scBusy === "find") return "The scan is being read.";
  if (!f) return p.scScan?.why ? "No room was found in it." : "There is no scan.";
  if (!f.unit_sure) return "Say first which unit the file is in.";
  return f.up_sure ? "" : "Say first which way is up.";
}

export class ScanHand {
  private last = 0;

  constructor(private readonly desk: Desk) {}

  private get page() { return this.desk.store.page; }

  private sending: AbortController | null = null;

  /** Brings a scan in; it takes the place of the last one. Until it is read it can be stopped. */
  async bring(f: File, beside: readonly File[] = []): Promise<void> {
    const s = this.desk.store, mine = ++this.last;
    this.sending?.abort();
    const work = this.sending = new AbortController();
    s.set({ scPart: "scan", scBusy: "scan", scScanBad: "", scSent: 0 });
    let scScanBad = "", scScan = s.page.scScan;
    try {
      scScan = await upload<ScanView>(`/api/scout/scan?${scanQuery(f, beside)}`, new Blob([f, ...beside]), work.signal,
        (scSent) => { if (mine === this.last) s.set({ scSent }); });
    } catch (e) {
      scScanBad = e instanceof Refused ? e.message : work.signal.aborted ? ""
        : `${f.name} did not come through: the program does not answer`;
    }
    if (mine === this.last) s.set({ scScan, scScanBad, scBusy: "" });
  }

  /** Stops what is being brought; the scan before it stays. */
  stop(): void { this.sending?.abort(); }

  /** Looks at the scan anew with something more that is known. */
  async find(x: Partial<ScanAsk>): Promise<void> {
    const s = this.desk.store, now = s.page.scScan, mine = ++this.last;
    if (!now) return;
    s.set({ scBusy: "find", scScanBad: "" });
    try {
      const scScan = await ask<ScanView>("/api/scout/scan/find", { ...now.ask, ...x });
      if (mine === this.last) s.set({ scScan, scBusy: "" });
    } catch (e) {
      if (mine === this.last) s.set({ scScanBad: e instanceof Refused ? e.message : "the program does not answer",
        scBusy: "" });
    }
  }

  /** What was found of unit and direction is so. */
  sure(): void {
    const f = this.page.scScan?.found;
    if (f) void this.find({ unit: f.unit, up: f.up });
  }

  turn(): void { void this.find({ turn: ((this.page.scScan?.turn ?? 0) + 90) % 360 }); }

  known(text: string): void {
    const v = shareOf(text);
    if (v !== null && v <= 0.95) void this.find({ reflectance: v });
    else this.desk.store.set({ scScanBad: "The surface reflects over 0 and at most 95 %." });
  }

  cut(box: readonly number[]): void {
    const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = box;
    void this.find({ cut: [...(this.page.scScan?.ask.cut ?? []), [a, b, c, d, e, f]] });
  }
  /** A box as typed. */
  cutText(text: string): void {
    if (text.trim() === "") return;
    const box = boxOf(text);
    if (box) this.cut(box);
    else this.desk.store.set({ scScanBad: "A box has six numbers: x, y, z of its low corner and of its high one." });
  }
  uncut(n: number): void { void this.find({ cut: (this.page.scScan?.ask.cut ?? []).filter((_, i) => i !== n) }); }

  drop(): void {
    this.last++;
    void ask<ScoutView>("/api/scout/scan/drop", undefined, "POST").then((scout) =>
      this.desk.store.set({ scout, scScan: null, scScanBad: "", scBusy: "" }), (e) => this.desk.say(e));
  }

  /** Writes the room, or (keep) only what stands in it: one step of undo. */
  write(keep: boolean): Promise<void> {
    return this.desk.scout.busy<Take>("put", "/api/scout/scan/put", { keep }, (t) => {
      this.desk.editor.edit(t.name, t.edits);
      this.desk.store.set({ toast: keep ? "What stands in the scan is in the room; undo takes it out."
        : "The room is as scanned; undo takes it back." });
    });
  }
}
