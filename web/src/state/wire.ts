// Talking to the server: requests that say what went wrong, one edit in flight at a time.
import { keepUnsent, newId } from "./unsent.ts";
import type { BalanceView, Change, Edit, Problem, State } from "../model/answers.ts";

export class Refused extends Error {
  constructor(message: string, readonly status: number, readonly problem: Problem | null) { super(message); }
}

export async function ask<T>(path: string, body?: unknown, method = body === undefined ? "GET" : "POST",
  signal?: AbortSignal): Promise<T> {
  const init: RequestInit = { method, cache: "no-store" };
  if (signal) init.signal = signal;
  if (body !== undefined) {
    init.body = JSON.stringify(body);
    init.headers = { "Content-Type": "application/json" };
  }
  const res = await fetch(path, init);
  const text = await res.text();
  let data: unknown = null;
  try { data = text ? JSON.parse(text) : null; } catch { data = null; }
  if (res.status >= 400 || res.status === 202) {
    const p = data as Problem | null;
    throw new Refused(p?.error ?? "The program could not do that.", res.status, p);
  }
  return data as T;
}

/** Sends a file's bytes; told hears the share that is gone, 0 to 1. A refusal is an error; so is a stop. */
export function upload<T>(path: string, file: Blob, signal: AbortSignal, told: (share: number) => void): Promise<T> {
  return new Promise((done, fail) => {
    const x = new XMLHttpRequest(); // fetch says nothing of how far it is
    x.open("POST", path);
    x.setRequestHeader("Content-Type", "application/octet-stream");
    x.upload.onprogress = (e) => { if (e.lengthComputable && e.total > 0) told(e.loaded / e.total); };
    x.onload = () => {
      let data: unknown = null;
      try { data = JSON.parse(x.responseText); } catch { data = null; }
      if (x.status < 300) done(data as T);
      else fail(new Refused((data as Problem | null)?.error ?? "The program could not read it.", x.status,
        data as Problem | null));
    };
    x.onerror = () => fail(new TypeError("no answer"));
    x.onabort = () => fail(new DOMException("stopped", "AbortError"));
    signal.addEventListener("abort", () => x.abort(), { once: true });
    x.send(file);
  });
}

/** Moves of a hand come with every frame, 16 ms apart; milliseconds. */
const moveGap = 20;

/** Sends changes one after the other; while one is under way only the newest of the same merge word waits. */
export class Editor {
  private waiting: Change[] = [];
  private busy = false;
  private kept = false;
  private sending = 0;
  private pause: { merge: string; until: Promise<unknown> } | null = null;
  private newer: (() => void) | null = null;

  constructor(
    private readonly revision: () => number,
    private readonly took: (s: State) => void,
    private readonly failed: (e: unknown) => void,
    private readonly working: (busy: boolean) => void = () => undefined,
    private readonly send: (c: Change) => Promise<State> = (c) => ask<State>("/api/edit", c),
    private readonly paced: (merge: string, s: State) => Promise<unknown> | null = () => null,
    private readonly lull: () => Promise<void> = () => new Promise((r) => setTimeout(r, 600)),
  ) {}

  /** Takes up changes that an earlier page could not send. */
  resume(changes: readonly Change[]): void {
    this.waiting.push(...changes);
    this.kept = changes.length > 0;
    void this.run();
  }

  get idle(): boolean { return !this.busy && this.waiting.length === 0; }

  edit(name: string, edits: Edit[], merge = ""): void {
    if (edits.length === 0) return;
    const last = this.waiting[this.waiting.length - 1];
    // A drag's steps are of the newest text; anything else is of the text that was looked at.
    const change: Change = { revision: merge ? 0 : this.revision(), id: newId(), name, edits };
    if (merge) change.merge = merge;
    if (last && merge && last.merge === merge && sameTargets(last.edits, edits)) this.waiting[this.waiting.length -
        1] = change;
    else this.waiting.push(change);
    if (this.busy) this.working(true);
    this.newer?.();
    void this.run();
  }

  /**
   * Waits for the hand's next move, no longer than its moves are apart: what was asked for while
   * the program was busy is where the hand was, not where it is.
   */
  private nextMove(): Promise<void> {
    return new Promise((done) => {
      const timer = setTimeout(done, moveGap);
      this.newer = () => { clearTimeout(timer); this.newer = null; done(); };
    });
  }

  private async run(): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    this.working(true);
    for (;;) {
      // While the answer to a drag's last change is awaited a newer one may take the place of what waits.
      if (this.pause && this.pause.merge === this.waiting[0]?.merge) {
        await this.pause.until;
        await this.nextMove();
      }
      this.pause = null;
      const next = this.waiting.shift();
      this.sending = next ? 1 : 0;
      if (!next) break;
      try {
        const s = await this.attempt(next);
        this.took(s);
        const until = next.merge ? this.paced(next.merge, s) : null;
        if (until) this.pause = { merge: next.merge ?? "", until };
      } catch (e) {
        if (!(e instanceof TypeError)) { this.failed(e); continue; }
        // No answer: it stays first in the row, here and on the device, and is sent anew when the link is back.
        this.waiting.unshift({ ...next, revision: 0 }); // a program started anew counts anew
        this.sending = 0;
        this.working(true);
        this.kept = true;
        keepUnsent({ changes: this.waiting });
        await this.lull();
        continue;
      }
      if (this.kept) { keepUnsent({ changes: this.waiting }); this.kept = this.waiting.length > 0; }
    }
    this.busy = false;
    this.working(false);
  }

  /** How many changes have not been answered yet. */
  get open(): number { return this.waiting.length + this.sending; }

  // A stale revision is tried again from the state that came with the refusal.
  private async attempt(c: Change): Promise<State> {
    for (let n = 0; ; n++) {
      try {
        return await this.send({ ...c, revision: n === 0 && c.revision > 0 ? c.revision : this.revision() });
      } catch (e) {
        if (!(e instanceof Refused) || e.status !== 409 || !e.problem?.state || n >= 20) throw e;
        this.took(e.problem.state);
      }
    }
  }
}

const sameTargets = (a: Edit[], b: Edit[]): boolean => a.length === b.length &&
  a.every((e, i) => e.set !== undefined && e.set === b[i]?.set);

export type { BalanceView };
