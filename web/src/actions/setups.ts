// Setups: duplicated, named, put in another order, deleted; each one step of undo.
import type { Edit, State } from "../model/answers.ts";
import type { Desk } from "./desk.ts";

/** A name that no setup has yet: 'Aisle 2' for a copy of 'Aisle'. */
export function freeName(name: string, taken: readonly string[]): string {
  const base = name.replace(/ \d+$/, ""), has = (n: string) => taken.some((t) => t.toLowerCase() === n.toLowerCase());
  let n = 2;
  while (has(`${base} ${n}`)) n++;
  return `${base} ${n}`;
}

export function duplicateEdits(s: State, i: number): { name: string; edits: Edit[] } | null {
  const was = s.setups[i]?.name;
  if (was === undefined) return null;
  const name = freeName(was, s.setups.map((x) => x.name));
  return { name, edits: [{ copy: `setups[${i}]`, value: String(i + 1) }, { set: `setups[${i + 1}].name`,
    value: name }] };
}

export function duplicate(d: Desk, i: number): void {
  const s = d.store.page.state, c = s && duplicateEdits(s, i);
  if (!c || !s) return;
  d.editor.edit(`duplicate ${s.setups[i]?.name}`, c.edits);
  // What is typed from now on is the copy's name.
  d.open(`name${i + 1}`);
  void shown(d, i + 1).then(() => d.store.set({ naming: i + 1, deleting: -1, pane: "setups" }));
}

/** Opens the field with a setup's name, or shuts it. */
export function beginNaming(d: Desk, i: number): void {
  const open = d.store.page.naming !== i || d.store.page.pane !== "setups";
  d.store.set({ naming: open ? i : -1, deleting: -1, pane: "setups" });
  if (open) d.open(`name${i}`);
}

/** Shows a setup once the change of their order has been answered. */
async function shown(d: Desk, i: number): Promise<void> {
  while (!d.editor.idle) await new Promise((r) => setTimeout(r, 10));
  const p = d.store.page;
  if (p.setup === i) await d.live.fetchView();
  else d.showSetup(i);
}

export function rename(d: Desk, i: number, name: string): void {
  const s = d.store.page.state, n = name.trim();
  d.store.set({ naming: -1 });
  if (!s?.setups[i] || n === "" || n === s.setups[i]?.name) return;
  if (s.setups.some((x, k) => k !== i && x.name.toLowerCase() === n.toLowerCase())) {
    d.store.set({ toast: `There is a setup called ${n} already.`, naming: i });
    d.open(`name${i}`);
    return;
  }
  d.editor.edit(`rename ${s.setups[i]?.name}`, [{ set: `setups[${i}].name`, value: n }]);
}

/** Puts a setup earlier or later; the one that is shown stays shown. */
export function reorder(d: Desk, i: number, by: number): void {
  const p = d.store.page, n = p.state?.setups.length ?? 0, to = i + by, name = p.state?.setups[i]?.name;
  if (to < 0 || to >= n || name === undefined) return;
  d.editor.edit(`put ${name} ${by < 0 ? "earlier" : "later"}`, [{ move: `setups[${i}]`, value: String(to) }]);
  void shown(d, p.setup === i ? to : p.setup === to ? i : p.setup);
}

export function remove(d: Desk, i: number): void {
  const p = d.store.page, n = p.state?.setups.length ?? 0;
  if (n < 2) { d.store.set({ toast: "A shoot keeps at least one setup." }); return; }
  if (p.deleting !== i) { d.store.set({ deleting: i, pane: "setups" }); return; }
  d.editor.edit(`delete ${p.state?.setups[i]?.name}`, [{ delete: `setups[${i}]` }]);
  void shown(d, p.setup > i || p.setup === n - 1 ? Math.max(0, p.setup - 1) : p.setup);
  d.store.set({ deleting: -1 });
}
