// Draws the edit screen and the colour chart.
import { attribute, put } from "../draw/morph.ts";
import { placingDrawing, roomPlan, scaleOf } from "../draw/roomplan.ts";
import { roomFaults } from "../model/roomfaults.ts";
import type { Page } from "../state/store.ts";
import { m } from "../units/markup.ts";
import { faultsOf } from "./faults.ts";
import { besideHead, editForm, editNav } from "./edit.ts";
import { palette } from "./palette.ts";
import { paintPicker, picker } from "./picker.ts";

export function showEdit(p: Page): void {
  const at = (id: string): Element | null => document.getElementById(id);
  const pick = at("picker");
  if (pick) put(pick, picker(p));
  if (p.picking) paintPicker(p);
  const nav = at("ednav"), form = at("edform"), head = at("edhead"), svg = at("roomplan");
  if (p.pane !== "edit" || !nav || !form || !head || !svg) return;
  put(nav, editNav(p));
  put(form, editForm(p));
  put(head, besideHead(p));
  const pal = at("palette");
  if (pal) put(pal, palette(p));
  const r = svg.getBoundingClientRect(), w = Math.round(r.width), h = Math.round(r.height);
  if (w < 60 || h < 60) return;
  if (!p.view) {
    put(svg, m`<text class="lab" x="14" y="26">The plan comes when the errors are mended.</text>`);
    return;
  }
  // Without walls what stands in the open is all there is to go by.
  const open = p.view.room.outline.length === 0, setup = open || p.node.startsWith(`setups[${p.view.index}]`);
  attribute(svg, "viewBox", `0 0 ${w} ${h}`);
  const k = scaleOf(p, p.view, w, h);
  if (p.sketch || p.placing.startsWith("thing") || p.placing === "window" || p.placing === "door")
    attribute(svg, "data-placing", "1");
  else attribute(svg, "data-placing", "");
  const draft = p.state?.draft ? m`<text class="note" data-key="draft" x="12" y="${h - 12}">as it was before the
    errors</text>` : m``;
  const word = open && !p.view.objects.length && !p.sketch
    ? m`<text class="lab" data-key="noroom" x="12" y="24">no room yet: draw its walls</text>` : m``;
  const plan = roomPlan(p.view, k, { units: p.units, shift: p.shift, chosen: p.node, setup,
    faults: new Map([...roomFaults(p.view), ...(setup ? faultsOf(p, p.view) : [])]) });
  put(svg, m`${draft}${p.sketch ? m`<g class="before" data-key="before">${plan}</g>` : plan}${word}${placingDrawing(p,
    p.view.room.outline, k)}`);
}
