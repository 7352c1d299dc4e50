// The fields behind the contours: asked for when they are wanted and nothing moves, given up when they go stale.
import { fieldsKey } from "../model/fields.ts";
import type { FieldsView, SetupView } from "../model/wire.ts";
import { contourHeight, sectionY, type Page, type Store } from "./store.ts";
import { ask } from "./wire.ts";

/** How long a place must stand still before its contours are asked for, ms. */
const rest = 250;

export class Fields {
  private asked = "";
  private stop: AbortController | null = null;
  private timer = 0;
  private keyed: { view: SetupView; z: number; kind: string; key: string } | null = null;

  constructor(private readonly store: Store) {}

  /** What the contours should be of now; empty: none are wanted. */
  wanted(p: Page): string {
    if (p.contours === "off" || !p.view || !p.view.built || p.view.index !== p.setup) return "";
    const z = contourHeight(p), k = this.keyed;
    if (k && k.view === p.view && k.z === z && k.kind === p.contours) return k.key;
    const key = fieldsKey(p.view, z, p.contours);
    this.keyed = { view: p.view, z, kind: p.contours, key };
    return key;
  }

  /** Looks whether something is to be asked for, or given up. */
  on(p: Page): void {
    const key = this.wanted(p), moving = p.drag !== null || p.pending;
    if (this.asked && (key !== this.asked || moving)) {
      this.stop?.abort();
      this.asked = "";
      if (p.fieldsBusy) this.store.set({ fieldsBusy: false });
    }
    if (!key || moving || (key === p.fieldsOf && key === p.sectionOf) || this.asked) return;
    this.asked = key;
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.fetch(key), rest);
  }

  private async fetch(key: string): Promise<void> {
    const p = this.store.page;
    if (this.asked !== key || this.wanted(p) !== key) return;
    const stop = new AbortController();
    this.stop = stop;
    this.store.set({ fieldsBusy: true });
    const over = (plane: string): Promise<FieldsView> =>
      ask<FieldsView>(`/api/setup/${p.setup}/fields?${plane}&meter=${p.contours === "meter" ? "camera" : "turned"}`,
        undefined, "GET", stop.signal);
    try {
      // The plan first, then the section.
      if (key !== p.fieldsOf) {
        const fields = await over(`z=${contourHeight(p)}`);
        if (!stop.signal.aborted) this.store.set({ fields, fieldsOf: key });
      }
      const section = stop.signal.aborted ? null : await over(`y=${sectionY(p)}`);
      if (!stop.signal.aborted) this.store.set({ section, sectionOf: key, fieldsBusy: false });
    } catch (e) {
      if (stop.signal.aborted) return;
      this.store.set({ fieldsBusy: false, contours: "off",
        toast: `Contours: ${e instanceof Error ? e.message : String(e)}` });
    }
    if (this.asked === key) this.asked = "";
  }
}
