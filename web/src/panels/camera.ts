// The camera's settings; under each, in words, what a step of it does.
import type { CameraView, Dialled } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { drawn, length } from "../units/measures.ts";
import { metres, minus, plain } from "../units/stops.ts";
import { button, choose } from "./button.ts";

/** The dial's text for what is tried, else for what is set. */
const shown = (d: Dialled, tried: number | undefined): string => (
  tried === undefined ? d.text : d.steps.find((s) => s.value === tried)?.text ?? d.text);

/** What a step of a dial does, in stops. */
const step = (d: Dialled): number => d.steps.filter((s) => s.stops > 0.01)
  .sort((a, b) => a.stops - b.stops)[0]?.stops ?? 0;

const cell = (name: string, value: Markup, presses: Markup, says: string, cls = ""): Markup =>
  m`<div class="ce ${cls}"><div class="cap">${name}</div><div class="v">${value}</div><div class="st">${presses}</div>
    <div class="ef">${says}</div></div>`;

const field = (key: string, name: string, value: string, before = "", after = ""): Markup =>
  m`${before ? m`<small>${before}</small>` : ""}<input data-act="camera" data-arg="${key}" data-key="cam-${key}"
    class="${value.replace(/^f\//, "").length > 4 ? "long" : ""}" data-pick="" value="${value}"
    size="${Math.max(2, value.length)}" aria-label="${name}"
 autocomplete="off" spellcheck="false">${after ? m`<small>${after}</small>` : ""}`;

const presses = (p: Page, act: string, name: string, less: string, more: string): Markup =>
  m`${button(p, act, "\u2212", { by: -1, label: `${name} ${less}` })}${button(p, act, "+",
    { by: 1, label: `${name} ${more}` })}`;

/** How wide the picture is where the sitter is, or five metres away. */
function across(c: CameraView, p: Page): string {
  const s = p.view?.sitter,
    d = s ? [0, 1, 2].reduce(
      (t, i) => t + ((s.landmarks.face?.[i] ?? (i === 2 ? c.at[2] : s.at[i as 0 | 1])) - c.at[i as 0 | 1 | 2]) *
        c.axis[i as 0 | 1 | 2], 0) : 5;
  const deg = (2 * Math.atan(c.sensor_width / 2 / c.image) * 180) / Math.PI;
  return d > 0.1 ? `${length((d * c.sensor_width) / c.image, p.units)} across ${s ? "where the sitter is"
    : "5 m away"}` : `${deg.toFixed(0)}° across`;
}

function focusCell(c: CameraView, p: Page): Markup {
  const at = c.focus_text.startsWith("["), word = (n: string): string => n.replace(/^(sitter|points)\./, "");
  const names = [...new Set(["sitter.eyes", "sitter.face", "sitter.hands",
    ...(p.view?.points ?? []).filter((q) => q.path).map((q) => `points.${q.name}`),
    ...(c.focus_text && !at ? [c.focus_text] : [])])];
  const far = p.units.lengths === "feet" ? [3, 5, 7, 10, 15].map((n) => `${n} ft`)
    : [1, 1.5, 2, 3, 5].map((n) => `${n} m`);
  const list = [
    ...(p.view?.sitter || c.focus_text === "" ? [{ value: "", words: "near eye", on: c.focus_text === "" }] : []),
      ...names.map((n) => ({ value: n, words: word(n), on: n === c.focus_text })),
    ...(at ? [{ value: c.focus_text, words: "a place", on: true }] : []),
      ...far.map((t) => ({ value: t, words: `at ${t}` })),
  ];
  const value = m`<span>${p.units.lengths === "feet" ? drawn(c.focus, p.units) : metres(c.focus)}</span>
    ${p.units.lengths === "feet" ? "" : m`<small>m</small>`}`;
  const says = `sharp from ${drawn(c.near, p.units)} to ${c.far === null ? "the horizon"
    : drawn(c.far, p.units, true)}`;
  return m`<div class="ce fo">
    <div class="cap">Focus${choose("focus",
      `Focus on, now ${c.focus_text === "" ? "the near eye" : at ? "a place" : word(c.focus_text)}`, list,
      { key: "cam-focus" })}</div><div class="v">${value}</div><div class="ef">${says}</div></div>`;
}

export function cameraStrip(c: CameraView, p: Page): Markup {
  const t = p.trial, flash = "flash and steady light",
    st = (d: Dialled): string => `±${(step(d) || 1 / 3).toFixed(1)} a step`;
  const shutter = t.shutter ?? c.shutter.value, lit = p.view?.lights.some((l) => l.flash && !l.off) ?? false,
    over = lit && c.sync > 0 && shutter < c.sync * 0.98,
    kelvin = /K$/.test(c.white_balance);
  const sync = over ? m`<p class="sync" role="status">The shutter is shorter than the sync time ${c.sync_text}: flash
    reaches ${Math.round(c.flash_lit_share * 100)} % of the frame.</p>` : "";
  const k = Number.parseFloat(c.white_balance),
    wb = kelvin && k > 0 ? `${Math.max(10, Math.round((8e-6 * k * k) / 10) * 10)} K a step, + is warmer`
      : "+ is warmer";
  return m`${cell("ISO", field("iso", "ISO", shown(c.iso, t.iso).replace(/^ISO /, "")),
    presses(p, "dial-iso", "ISO", "less", "more"), `${flash} ${st(c.iso)}`)}
${cell("Shutter", field("shutter", "Shutter", shown(c.shutter, t.shutter).replace(/ s$/, ""), "", "s"),
  presses(p, "dial-shutter", "Shutter", "shorter", "longer"), `steady light only, ${st(c.shutter)}`)}
${cell("Aperture", field("aperture", "Aperture", shown(c.aperture, t.aperture)),
  presses(p, "dial-aperture", "Aperture", "smaller", "larger"), `${flash} ${st(c.aperture)}`)}
${cell("White balance", field("white balance", "White balance", minus(c.white_balance.replace(/ K$/, "")), "", kelvin
  ? "K" : ""), presses(p, "wb", "White balance", "cooler picture", "warmer picture"), wb)}
${cell("Lens", field("lens", "Focal length", plain(c.lens * 1000, 0), "", "mm"), presses(p, "lens", "Lens", "wider",
  "longer"), across(c, p))}${focusCell(c, p)}${sync}`;
}

/** What stands where the camera's settings would. */
export function noCamera(p: Page): Markup {
  const c = p.readings?.readings.camera,
    set = c ? ` set to ISO ${plain(c.iso, 0)}, ${c.shutter_seconds < 0.3 ? `1/${plain(1 / c.shutter_seconds, 0)}`
      : plain(c.shutter_seconds, 1)} s` : "";
  return m`<div class="nocam"><span>This setup has no camera, so there is no picture; its points
    are read as a meter${set} would.</span> ${button(p, "addcamera", "add a camera", { cls: "lnk" })}</div>`;
}
