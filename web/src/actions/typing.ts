// The text pane's typing: sent soon, kept until it was taken, joined with what others change meanwhile.
import type { State } from "../model/answers.ts";
import type { Live } from "../state/live.ts";
import type { Store } from "../state/store.ts";
import { keepUnsent, newId } from "../state/unsent.ts";
import { ask, Refused } from "../state/wire.ts";

export class Typing {
  private timer = 0;
  private busy: Promise<void> | null = null;
  private id = "";
  private sent = "";

  constructor(private readonly store: Store, private readonly live: Live, private readonly say: (e: unknown) => void) {}

  /** base is the text that stood in the pane before the first stroke. */
  typed(text: string, base: string): void {
    if (!this.store.page.textDirty) this.store.set({ textBase: base });
    this.store.set({ text, textDirty: true });
    this.later(250);
  }

  private later(ms: number): void {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.flush(), ms);
  }

  /** Sends what is typed now; resolves when it was taken or could not be. */
  async flush(): Promise<void> {
    clearTimeout(this.timer);
    while (this.busy) await this.busy;
    if (!this.store.page.textDirty || this.store.page.clash) return;
    this.busy = this.send();
    await this.busy;
    this.busy = null;
  }

  private async send(): Promise<void> {
    const p = this.store.page, text = p.text;
    // The same text is sent anew under the same id: it is taken once.
    if (this.sent !== text || !this.id) { this.id = newId(); this.sent = text; }
    try {
      const s = await ask<State>("/api/text", { revision: p.state?.revision ?? 0, id: this.id, name: "edit text",
        merge: "typing", base: p.textBase, text }, "PUT");
      this.id = "";
      this.store.set({ textBase: text });
      const pane = document.getElementById("text");
      if (pane instanceof HTMLTextAreaElement && pane.value === text) pane.defaultValue = text;
      if (this.store.page.text === text) {
        this.store.set({ textDirty: false, textRevision: s.revision });
        keepUnsent({ text: null });
      }
      this.live.take(s);
      if (this.store.page.textDirty) this.later(50);
    } catch (e) {
      if (e instanceof Refused && e.status === 409) {
        this.store.set({ clash: true });
        if (e.problem?.state) this.live.take(e.problem.state);
      } else if (e instanceof Refused) {
        this.say(e);
        this.later(1500);
      } else { // the link is lost: kept here, and on the device, until it is back
        keepUnsent({ text: { text, base: p.textBase } });
        this.later(700);
      }
    }
  }

  /**
   * Two changed the same lines: mine goes over theirs, or theirs stands and
   * mine is one redo away. Nothing is lost either way.
   */
  async settle(mine: boolean): Promise<void> {
    try {
      const now = await ask<{ revision: number; text: string }>("/api/text"), text = this.store.page.text;
      const s = await ask<State>("/api/text", { revision: now.revision, name: mine ? "edit text"
        : "typing set aside", base: now.text, text }, "PUT");
      const end = mine ? s : await ask<State>("/api/undo", { revision: s.revision });
      this.store.set({ clash: false, textDirty: false, textBase: text });
      keepUnsent({ text: null });
      this.live.take(end);
      void this.live.fetchText();
    } catch (e) { this.say(e); }
  }
}
