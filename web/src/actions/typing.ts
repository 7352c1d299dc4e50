// The text pane's typing: sent soon, kept until it was taken, joined with what others change meanwhile.
import type { State } from "../model/answers.ts";
import type { Live } from "../state/live.ts";
import { whichStands, type Store } from "../state/store.ts";
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
    keepUnsent({ text: { text, base: this.store.page.textBase } });
    this.later(250);
  }

  private later(ms: number): void {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.flush(), ms);
  }

  /** Sends what is typed now; resolves when it was taken or could not be, with whether all of it was. */
  async flush(): Promise<boolean> {
    clearTimeout(this.timer);
    while (this.busy) await this.busy;
    if (!this.store.page.textDirty) return true;
    this.busy = this.send();
    await this.busy;
    this.busy = null;
    return !this.store.page.textDirty;
  }

  /** Sends what is typed before a step back or forward; says why that cannot be taken yet, or nothing. */
  async first(way: "undo" | "redo"): Promise<string> {
    if (await this.flush()) return "";
    return whichStands(this.store.page) || `What is typed in the text is not taken yet; it comes before ${way}.`;
  }

  private async send(): Promise<void> {
    const p = this.store.page, text = p.text;
    // The same text is sent anew under the same id: it is taken once.
    if (this.sent !== text || !this.id) { this.id = newId(); this.sent = text; }
    try {
      const s = await ask<State>("/api/text", { revision: p.state?.revision ?? 0, id: this.id, name: "edit text",
        merge: "typing", base: p.textBase, text }, "PUT");
      this.took(text, s);
    } catch (e) {
      if (e instanceof Refused && e.status === 409) {
        this.store.set({ clash: true });
        if (e.problem?.state) this.live.take(e.problem.state);
      } else if (e instanceof Refused) {
        this.say(e);
        this.later(1500);
      } else this.later(700); // the link is lost: it stays on the device until that is back
    }
  }

  /** A text that was typed is the program's now; what was typed since is made from it. */
  private took(text: string, s: State): void {
    this.id = "";
    const more = this.store.page.text !== text, pane = document.getElementById("text");
    if (pane instanceof HTMLTextAreaElement && pane.value === text) pane.defaultValue = text;
    this.store.set({ clash: false, textBase: text, textDirty: more, ...(more ? {} : { textRevision: s.revision }) });
    keepUnsent({ text: more ? { text: this.store.page.text, base: text } : null });
    this.live.take(s);
    if (more) this.later(50);
  }

  /**
   * Two changed the same lines: mine go over theirs, or theirs stand and mine
   * are one redo away. Nothing is lost either way, and what was changed in other lines stays.
   */
  async settle(mine: boolean): Promise<void> {
    clearTimeout(this.timer);
    while (this.busy) await this.busy;
    if (!this.store.page.clash) return;
    const work = async (): Promise<void> => {
      const p = this.store.page, text = p.text;
      try {
        const was = await ask<State>("/api/state");
        const s = await ask<State>("/api/text", { revision: was.revision, name: mine ? "edit text"
          : "typing set aside", mine: true, base: p.textBase, text }, "PUT");
        // What says the same as theirs was no step, and nothing is to be taken back.
        this.took(text, mine || s.step === was.step ? s : await ask<State>("/api/undo", { revision: s.revision }));
        void this.live.fetchText();
      } catch (e) { this.say(e); }
    };
    this.busy = work();
    await this.busy;
    this.busy = null;
  }
}
