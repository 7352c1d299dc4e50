// A part from the kit, tried before it is taken.
import type { TryView } from "../model/wire.ts";
import { ask, Refused } from "../state/wire.ts";
import type { Desk } from "./desk.ts";
import * as edits from "./edits.ts";

/** Tries a part; the one that is in already, or that is tried already: leaves it. */
export function tryPart(d: Desk, path: string, part: string, value: string): void {
  const l = d.light(path), p = d.store.page;
  if (!l || !p.view) return;
  const list = edits.partEdits(l, part, value);
  const now = part === "gel" ? l.gels.join(" + ") : part === "head" ? l.head : part === "grid" ? l.grid
    : l.modifier === "bare" ? "" : l.modifier;
  if (list.length === 0 || now.toLowerCase() === value.toLowerCase()) { leave(d); return; }
  d.store.set({ tryout: { name: `${part} of ${l.name}: ${value || "none"}`, edits: list, path, part, value,
    view: null, failed: "" }, compare: { with: "try", setup: p.setup, at: 0.5, whole: false }, frame: "picture",
    solo: "" });
  void look(d);
}

let asked: AbortController | null = null;

async function look(d: Desk): Promise<void> {
  const p = d.store.page, t = p.tryout, v = p.view;
  asked?.abort();
  asked = new AbortController();
  if (!t || !v) return;
  const mine = () => d.store.page.tryout?.edits === t.edits;
  const once = (): Promise<TryView> => ask<TryView>(`/api/setup/${p.setup}/try`,
    { revision: v.revision, edits: t.edits }, "POST", asked?.signal);
  // More urgent work goes first: it is asked for again, as long as it is still wanted.
  const busy = (n: number) => (e: unknown): Promise<TryView> => {
    if (n === 0 || !mine() || !(e instanceof Refused) || e.status !== 202) throw e;
    return once().catch(busy(n - 1));
  };
  try {
    const got = await once().catch(busy(9));
    if (mine()) d.store.set({ tryout: { ...t, view: got, failed: got.readings ? ""
        : got.view?.messages.find((m) => m.severity === "error")?.text ?? "this cannot be built" } });
  } catch (e) {
    if (mine()) d.store.set({ tryout: { ...t, failed: e instanceof Refused ? e.problem?.messages?.[0]?.text ??
        e.message : "the program does not answer" } });
  }
}

export function take(d: Desk): void {
  const t = d.store.page.tryout;
  if (!t || t.failed) return;
  d.editor.edit(t.name, t.edits);
  leave(d);
}

export function leave(d: Desk): void {
  asked?.abort();
  const c = d.store.page.compare;
  d.store.set({ tryout: null, compare: c?.with === "try" ? null : c });
}
