// What presses, choices and typing in the frame's column, the setups, the ways out and the kit's parts mean.
import type { Desk } from "../actions/desk.ts";
import { settingTyped } from "../actions/edits.ts";
import * as picture from "../actions/picture.ts";
import * as setups from "../actions/setups.ts";
import * as tryout from "../actions/tryout.ts";
import type { Pane } from "../state/store.ts";

/** A press on something that says what it does. */
export function pressed(d: Desk, act: string, arg: string, n: number): void {
  const s = d.store;
  switch (act) {
    case "beside": picture.beside(d); break;
    case "besidesetup": picture.compareSetup(d, n); break;
    case "tool": s.set({ tool: s.page.tool === arg ? "" : (arg as "crop") }); break;
    case "shape": picture.cropShape(d, Number(arg)); break;
    case "cover": if (arg === "on") picture.cover(d, "on", ""); break;
    case "lens": picture.lens(d, n); break;
    case "focusspot": picture.focusSpot(d); break;
    case "spread": s.set({ spread: !s.page.spread }); break;
    case "reach": void picture.reach(d); break;
    case "duplicate": setups.duplicate(d, n); break;
    case "naming": s.set({ naming: s.page.naming === n ? -1 : n, deleting: -1 }); break;
    case "earlier": setups.reorder(d, n, -1); break;
    case "later": setups.reorder(d, n, 1); break;
    case "delsetup": setups.remove(d, n); break;
    case "keepsetup": s.set({ deleting: -1 }); break;
    case "trytake": tryout.take(d); break;
    case "tryleave": tryout.leave(d); break;
    case "edpart": s.set({ edit: arg as "form" }); break;
    case "again": s.set({ fault: "" }); void d.live.fetchFilm(true); break;
  }
}

/** Role or setting of a light, as typed. */
function ownField(d: Desk, path: string, key: string, text: string): void {
  const l = d.light(path);
  if (!l) return;
  if (key === "role") { if (text.trim() && text.trim() !== l.role) d.editor.edit(`role of ${l.name}`, [{ set: `${l.path}.role`, value: text.trim() }]); return; }
  const list = settingTyped(l, text);
  if (list) d.editor.edit(`set ${l.name}`, list);
  else d.store.set({ toast: `"${text}" is no setting of this head; write it like ${l.flash ? "1/8 + 0.3" : "60 %"}, as far as it goes: ${l.dial[l.dial.length - 1]?.text ?? ""} to ${l.dial[0]?.text ?? ""}` });
}

/** A field that was changed. It reports whether the field was one of these. */
export function changed(d: Desk, t: HTMLInputElement | HTMLSelectElement): boolean {
  const arg = t.dataset.arg ?? "", n = Number(t.dataset.n ?? 0);
  switch (t.dataset.act) {
    case "setupsel": d.showSetup(Number(t.value)); break;
    case "panesel": d.pane(t.value as Pane); break;
    case "viewsel": if (t.value) d.frame("light", t.value); else d.frame("picture"); break;
    case "compare": picture.compareSetup(d, Number(t.value)); break;
    case "cover": picture.cover(d, arg, t.value); break;
    case "camera": picture.cameraTyped(d, arg, t.value); d.store.set({}); break;
    case "focus": picture.focus(d, t.value); break;
    case "name": setups.rename(d, n, t.value); break;
    case "own": ownField(d, t.dataset.path ?? "", arg, t.value); d.store.set({}); break;
    case "part": tryout.tryPart(d, t.dataset.path ?? "", arg, t.value); break;
    default: return false;
  }
  return true;
}
