// What stands round the picture: its views, what is open under it, the spot that was read.
import { layersAt } from "../draw/mix.ts";
import { isWhole, typeAt } from "../model/crop.ts";
import { wholeName } from "../model/names.ts";
import { spotLevel } from "../model/spot.ts";
import type { CoverView, LightView, SetupView } from "../model/wire.ts";
import { trialOf, type Page } from "../state/store.ts";
import { chip } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";
import { length } from "../units/measures.ts";
import { fParts, plain, signed } from "../units/stops.ts";
import { button, choose } from "./button.ts";

export function views(p: Page): Markup {
  const c = p.compare, plan = p.large === "plan" || p.phone === "plan",
    lights = (p.view?.lights ?? []).filter((l) => l.layer >= 0);
  const others = (p.state?.setups ?? []).map((x, i) => (
    { value: String(i), words: x.name, on: c?.with === "setup" && c.setup === i, i })).filter((x) => x.i !== p.setup);
  const seen = (k: Page["frame"]): boolean => p.large === "picture" && p.frame === k;
  // A row across holds so many; more are a list.
  const long = lights.length > 6 && (p.view?.camera?.sensor_width ?? 2) > (p.view?.camera?.sensor_height ?? 3);
  const alone = long ? [] : lights.map((l) => button(p, "alone", m`<u
    data-css="background:${chip(l.tint, p.theme)}"></u>
    <span>${wholeName(l)}</span>`,
    { path: l.path, on: seen("light") && p.frameLight === l.path, title: `${l.name} alone`, cls: "ln" }));
  const one = choose("alone", "One light alone", [{ value: "", words: "one light…" },
    ...lights.map((l) => ({ value: l.path, words: wholeName(l), on: p.frame === "light" && p.frameLight === l.path }))],
    { cls: `onelight${p.frame === "light" ? " on" : ""}${long ? " here" : ""}` });
  const beside = others.length ? choose("beside", "Another setup beside", [{ value: "-1", words: "Beside…" },
    ...others], { cls: c?.with === "setup" ? "vsel on" : "vsel", key: "v-beside" }) : "";
  return m`${button(p, "picture", "Picture", { on: seen("picture"), teach: true })}${button(p, "stops", "Stops",
    { on: seen("stops"), teach: true })}${button(p, "exchange", "Plan", { on: plan && p.large === "plan",
      teach: true, cls: "vp" })}
<hr>${button(p, "before", m`Before`, { on: c?.with === "before", title: p.before
  ? `what was before: ${p.state?.undo ?? ""} (J; Space shows it alone)` : "nothing was changed yet (J)",
  teach: true })}${beside}${button(p, "crop", "Crop", { on: p.tool === "crop", cls: "vt" })}${button(p, "coverview",
  "Cover", { on: p.tool === "cover", cls: "vt" })}
<hr class="lnh"><small class="lnh">one light alone</small>${alone}${one}`;
}

const shapes: readonly (readonly [string, number])[] = [["2:3", 2 / 3], ["3:4", 3 / 4], ["4:5", 4 / 5],
  ["A series", Math.SQRT1_2], ["1:1", 1], ["3:2", 3 / 2], ["16:9", 16 / 9]];

function cropPanel(p: Page, v: SetupView): Markup {
  const c = v.camera;
  if (!c) return m``;
  const k = p.drag?.crop ?? c.crop, shape = ((k[2] - k[0]) / (k[3] - k[1])) * (c.sensor_width / c.sensor_height);
  const near = shapes.find(([, s]) => Math.abs(s / shape - 1) < 0.012),
    part = Math.round((k[2] - k[0]) * (k[3] - k[1]) * 100);
  const says = isWhole(k) ? "The whole frame is used."
    : `${part} % of the frame, ${near ? near[0] : `1 : ${(1 / shape).toFixed(2)}`}.`;
  return m`<div class="toolp"><span class="grow">${says} Drag the handles; Shift keeps the shape.</span>
    <span class="shapes">${shapes.map(([w, s]) =>
    button(p, "shape", w, { arg: plain(s, 5), on: near?.[0] === w && !isWhole(k) }))}${button(p, "shape", "whole",
      { arg: "0" })}</span></div>`;
}

function coverPanel(p: Page, v: SetupView): Markup {
  const k = v.cover;
  const f = (key: string, words: string, value: number) =>
    m`<label>${words}<input data-act="cover" data-arg="${key}" data-key="cov-${key}" inputmode="decimal"
      value="${plain(value * 100, 1)} %" aria-label="${words}"></label>`;
  const on = button(p, "cover", k ? "no cover" : "this picture is for a cover", { arg: "on", on: k !== undefined });
  if (!k) return m`<div class="toolp">${on}<span class="grow">Press it to see where title and lines will stand, inside
      the crop.</span></div>`;
  const sides = choose("cover", "side of the cover lines",
    ["left", "right", "both", "none"].map((x) => ({ value: x, words: x, on: x === k.lines })), { arg: "lines" });
  return m`<div class="toolp">${on}${f("title", "title", k.title)}${f("margin", "margin", k.margin)}${f("column",
    "lines", k.column)}<label>at ${sides}</label>
<span class="grow" role="status">${typeOver(v, k)}</span></div>`;
}

/** Fields of the tool that is open. */
export const toolPanel = (p: Page): Markup => (!p.view?.camera || !p.tool ? m`` : p.tool === "crop"
  ? cropPanel(p, p.view) : coverPanel(p, p.view));

/** What of the face the cover's type would lie on. */
function typeOver(v: SetupView, k: CoverView): string {
  const c = v.camera?.crop ?? [0, 0, 1, 1],
    hit = v.points.filter((q) => q.sitter && q.picture && /face|forehead|chin|hair/.test(q.name)).flatMap((q) => {
    const z = typeAt(k, ((q.picture?.[0] ?? 0) - c[0]) / (c[2] - c[0]), ((q.picture?.[1] ?? 0) - c[1]) / (c[3] - c[1]));
    return z ? [`${z} over ${q.name}`] : [];
  });
  return hit.length ? `${hit.slice(0, 2).join(", ")}${hit.length > 2 ? " and more" : ""}.`
    : "The face is clear of the type.";
}

const big = (f: number): Markup => {
  const [w, t] = fParts(f);
  return m`<b class="fn"><i>f/</i>${w}<sup>${t}</sup></b>`;
};

/** The spot that was read: at once from the picture, then from light that was traced for it. */
export function spotCard(p: Page): Markup {
  const s = p.spot, v = p.view;
  if (!s || !v) return m``;
  const k = p.state?.house.meter.reflected_constant ?? 12.5;
  const traced = s.reading.lights.length > 0 && s.revision === v.revision && !p.drag && p.trial.k.size === 0 && !p.solo;
  const live = p.film ? spotLevel(v, trialOf(p), p.solo, layersAt(p.film, s.x, s.y), k) : null;
  const r = s.reading, stops = traced || !live ? r.stops ?? Number.NaN : live.stops,
    f = traced || !live ? r.f_number : live.f;
  const own = r.lights.map((x) => ({
    light: v.lights.find((l) => l.name === x.name), name: x.name, share: x.share,
    stops: r.stops === null ? Number.NaN : r.stops + Math.log2(Math.max(1e-9, x.share)),
  }));
  const mixed = (live?.lights ?? []).map((x) => ({ light: x.light as LightView | undefined, name: x.light.name,
    share: x.share, stops: x.stops }));
  const most = (traced ? own : mixed).filter((l) => l.share > 0.005).sort((a, b) => b.share - a.share).slice(0, 5);
  const name = m`<input id="spotname" data-key="sp-name" data-own="" data-enter="keep" placeholder="name"
    aria-label="Name of the point to keep" autocomplete="off" size="9">`;
  const acts = s.at ? m`${name}${button(p, "keep", "keep", { label: "keep as point", key: "sp-keep" })}${button(p,
    "focusspot", "focus", { label: "focus here", key: "sp-focus" })}` : "";
  const sure = traced && r.uncertainty_stops > 0.15 ? ` ±${r.uncertainty_stops.toFixed(1)}` : "",
    how = traced ? "reflected" : "reflected, from the picture";
  return m`<div class="spot${s.y > 0.6 ? " up" : ""}"><div class="sh" role="status">${big(f)} <span>
    ${Number.isFinite(stops) ? `${signed(stops)} stops` : "dark"}${sure}
    <small>${how}${s.metres ? `, ${length(s.metres, p.units)} away` : ""}</small></span>
<span class="end">${acts}${button(p, "unspot", "close", { label: "Close the reading", key: "sp-close" })}</span></div>
  <ul class="by" aria-label="Which light did it">${most.map((l) =>
    m`<li><u data-css="background:${l.light ? chip(l.light.tint, p.theme) : "#999"};width:${Math.max(2,
      Math.round(l.share * 64))}px"></u><span class="bn">${l.name}</span><b>${Math.round(l.share * 100)} %</b>
      <span>${signed(l.stops)} stops alone</span></li>`)}</ul></div>`;
}
