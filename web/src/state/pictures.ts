// Small pictures of setups and of changes that are weighed up: asked for one at a time, kept by what they show.
import type { Edit } from "../model/wire.ts";
import type { Store } from "./store.ts";

interface Wish { key: string; setup: number; revision: number; edits: Edit[]; side: number }

/** Names a small picture: of which setup, of which text, with which change. */
export const pictureKey = (setup: number, revision: number, edits: readonly Edit[], side: number): string =>
  `${setup} ${revision} ${side} ${JSON.stringify(edits)}`;

export class Pictures {
  private list: Wish[] = [];
  private busy: { wish: Wish; stop: AbortController } | null = null;

  constructor(
    private readonly store: Store,
    private readonly fetched: (w: Wish, signal: AbortSignal) => Promise<string> = shot,
    private readonly drop: (url: string) => void = (u) => URL.revokeObjectURL(u),
  ) {}

  /** Says which pictures are wanted now, most wanted first; what is no longer wanted is not computed. */
  want(list: Wish[]): void {
    const have = this.store.page.pictures;
    this.list = list.filter((w) => !have.get(w.key));
    if (this.busy && !list.some((w) => w.key === this.busy?.wish.key)) this.busy.stop.abort();
    void this.run();
  }

  private async run(): Promise<void> {
    if (this.busy) return;
    for (let w = this.list.shift(); w; w = this.list.shift()) {
      if (this.store.page.pictures.get(w.key)) continue;
      const stop = new AbortController();
      this.busy = { wish: w, stop };
      let got: string;
      try { got = await this.fetched(w, stop.signal); } catch (e) {
        got = stop.signal.aborted ? "" : `!${e instanceof Error ? e.message : "no picture"}`;
      }
      this.busy = null;
      if (got) this.keep(w.key, got);
    }
  }

  private keep(key: string, got: string): void {
    const all = new Map(this.store.page.pictures);
    all.set(key, got);
    for (const [k, u] of all) {
      if (all.size <= 80) break;
      all.delete(k);
      if (!u.startsWith("!")) this.drop(u);
    }
    this.store.set({ pictures: all });
  }
}

async function shot(w: Wish, signal: AbortSignal): Promise<string> {
  for (let n = 0; ; n++) {
    const body = JSON.stringify({ revision: w.revision, edits: w.edits, side: w.side }),
      headers = { "Content-Type": "application/json" };
    const res = await fetch(`/api/setup/${w.setup}/try.png`, { method: "POST", signal, cache: "no-store",
      headers, body });
    if (res.status === 202 && n < 9) continue; // more urgent work went first
    if (res.status === 200) return URL.createObjectURL(await res.blob());
    if (res.status === 409) return ""; // the shoot went on; the newer picture is asked for anew
    const p = (await res.json().catch(() => null)) as { error?: string } | null;
    return `!${p?.error ?? "no picture"}`;
  }
}
