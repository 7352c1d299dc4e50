// Small pictures of setups and of changes that are weighed up: asked for one at a time, a coarse one
// first, kept by what they show.
import type { Edit } from "../model/wire.ts";
import type { Store } from "./store.ts";

interface Wish { key: string; setup: number; revision: number; edits: Edit[]; side: number }

/** Names a small picture: of which setup, of which text, with which change. */
export const pictureKey = (setup: number, revision: number, edits: readonly Edit[], side: number): string =>
  `${setup} ${revision} ${side} ${JSON.stringify(edits)}`;

export class Pictures {
  private list: Wish[] = [];
  private busy: { wish: Wish; stop: AbortController } | null = null;
  /** Keys of which only a coarse picture is there. */
  private readonly rough = new Set<string>();

  constructor(
    private readonly store: Store,
    private readonly fetched: (w: Wish, signal: AbortSignal, coarse: boolean) => Promise<string> = shot,
    private readonly drop: (url: string) => void = (u) => URL.revokeObjectURL(u),
  ) {}

  /** Says which pictures are wanted now, most wanted first; what is no longer wanted is not computed. */
  want(list: Wish[]): void {
    const have = this.store.page.pictures;
    this.list = list.filter((w) => !have.get(w.key) || this.rough.has(w.key));
    if (this.busy && !list.some((w) => w.key === this.busy?.wish.key)) this.busy.stop.abort();
    void this.run();
  }

  /** Coarse pictures of all first, so that no place stays empty for long; then finer ones, most wanted first. */
  private async run(): Promise<void> {
    if (this.busy) return;
    for (;;) {
      const bare = this.list.find((w) => !this.store.page.pictures.get(w.key)), w = bare ?? this.list[0];
      if (!w) return;
      const stop = new AbortController(), coarse = bare !== undefined && !this.rough.has(w.key);
      this.busy = { wish: w, stop };
      let got: string;
      try { got = await this.fetched(w, stop.signal, coarse); } catch (e) {
        got = stop.signal.aborted ? "" : `!${e instanceof Error ? e.message : "no picture"}`;
      }
      this.busy = null;
      const more = coarse && got !== "" && !got.startsWith("!");
      if (!more) this.list = this.list.filter((x) => x.key !== w.key || stop.signal.aborted);
      if (more) this.rough.add(w.key);
      else if (got) this.rough.delete(w.key);
      if (got) this.keep(w.key, got);
    }
  }

  private keep(key: string, got: string): void {
    const all = new Map(this.store.page.pictures), had = all.get(key);
    if (had && !had.startsWith("!")) this.drop(had);
    all.set(key, got);
    for (const [k, u] of all) {
      if (all.size <= 80) break;
      all.delete(k);
      this.rough.delete(k);
      if (!u.startsWith("!")) this.drop(u);
    }
    this.store.set({ pictures: all });
  }
}

async function shot(w: Wish, signal: AbortSignal, coarse: boolean): Promise<string> {
  for (let n = 0; ; n++) {
    const body = JSON.stringify({ revision: w.revision, edits: w.edits, side: w.side, coarse }),
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
