// The colour of a light: like another light, a temperature with green or
// magenta, or a pick on the chart with the head's gamut.
import { chart, chartHeight, fillChart } from "../draw/chart.ts";
import { entries, find, titleOf } from "../model/tree.ts";
import type { Page } from "../state/store.ts";
import { chip } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";

export const chartWidth = (): number => Math.min(420, Math.max(260, innerWidth - 48));

const can: Record<string, string> = { any: "any colour of light", mixes: "inside its primaries' edge",
  bicolour: "along its line of whites", fixed: "one colour only: put a gel on for another" };

/**
 * Three steps of the circles in u\u2032v\u2032 of CIE TN 001:2014, 0.0011
 * each: lamps so near to each other are sold as one colour.
 */
const unseen = 0.0033;

/** What was asked and what comes, in words. */
export function verdict(p: Page): Markup {
  const k = p.picking, a = k?.asked;
  if (!k || !a) return m`<p class="cap">Click or drag on the chart, or use the arrow keys on it.</p>`;
  const white = a.kelvin
    ? `${Math.round(a.kelvin / 10) * 10} K${Math.abs(a.duv ?? 0) >= 0.0005
      ? `, ${Math.abs(a.duv ?? 0).toFixed(3)} ${(a.duv ?? 0) > 0 ? "green" : "magenta"}` : ""}`
    : "no colour temperature";
  const near = !a.in_gamut && a.distance <= unseen;
  const off = !a.light ? "No light has that colour: it lies off the locus." : a.in_gamut
    ? (k.head ? `${k.head} makes it` : "") : near
    ? `${k.head} comes so near to it (${a.distance.toFixed(3)} in u\u2032v\u2032) that hardly an eye tells`
    : `Out of reach of ${k.head}. The nearest is ${a.distance.toFixed(
      3)} away in u\u2032v\u2032, at ${a.near_u.toFixed(3)}, ${a.near_v.toFixed(3)}`;
  const level = k.head && a.light
    ? `, ${Math.abs(a.stops) < 0.05 ? "at the level of its white"
      : `${Math.abs(a.stops).toFixed(1)} stops ${a.stops < 0 ? "under" : "over"} its white`}.` : "";
  return m`<p><u data-css="background:${chip(a.tint, p.theme)}"></u>
    <b>u\u2032 ${a.u.toFixed(3)}, v\u2032 ${a.v.toFixed(3)}</b> ${white}</p>
    <p class="${a.in_gamut || near ? "" : "far"}" role="status">${off}${off ? level : ""}</p>`;
}

export function picker(p: Page): Markup {
  const k = p.picking;
  if (!k) return m``;
  const w = chartWidth(), h = chartHeight(w), now = find(p.tree?.root, k.path);
  const text = now?.kind === "text" ? now.text ?? "" : now?.kind === "map"
    ? (now.keys ?? []).map((x, i) => `${x} ${now.items?.[i]?.text ?? ""}`).join(", ") : now?.kind === "list"
    ? `x, y ${(now.items ?? []).map((x) => x.text).join(", ")}` : "";
  // Lights are those of the same setup.
  const setup = k.path.match(/^setups\[\d+\]/)?.[0] ?? "",
    here = entries(find(p.tree?.root, `${setup}.lights`)).map((n) => titleOf(n, ""));
  const likes = (p.tree?.names["colours"] ?? []).filter((n) => n.startsWith("like ") &&
    n !== `like lights.${k.what}` && (!n.startsWith("like lights.") || (setup !== "" && here.includes(n.slice(12)))));
  const a = k.asked, kelvin = a?.kelvin ? Math.round(a.kelvin / 10) * 10 : 5600,
    duv = a?.kelvin ? Math.round((a.duv ?? 0) * 1000) / 1000 : 0;
  return m`<div class="colourpick" role="dialog" aria-label="Colour of ${k.what}" data-key="pick"><div class="hd">
    <h2>Colour of ${k.what}</h2><p>${k.chart ? `${k.head ? `${k.head}: ` : ""}${can[k.chart.kind] ?? ""}` : ""}</p>
    <button class="end" data-act="unpick">close</button></div>
<div class="pk"><div class="chart" data-css="width:${w}px;height:${h}px"><canvas id="chartfill" data-key="chartfill"
  aria-hidden="true"></canvas><svg id="chart" viewBox="0 0 ${w} ${h}" role="slider" tabindex="0"
  aria-label="Chromaticity chart, u prime v prime" aria-valuemin="0" aria-valuemax="1"
  aria-valuenow="${a ? a.u.toFixed(3) : "0"}" aria-valuetext="${a ? `u ${a.u.toFixed(3)}, v ${a.v.toFixed(3)}`
    : "nothing picked"}">${k.chart ? chart(k.chart, a, w) : ""}</svg></div>
<div class="pw">${verdict(p)}<div class="like"><h3>Like a light that is there</h3>
  ${likes.map((n) => m`<button data-act="picktake" data-arg="${n}" data-key="pt-${n}" class="${text === n ? "on"
    : ""}" aria-pressed="${text === n ? "true" : "false"}">${n.replace(/^like \w+\./, "")}</button>`)}</div>
<div class="cct"><h3>White</h3><label>temperature <input type="text" inputmode="numeric" data-act="pickk"
  data-key="pickk" value="${kelvin} K" aria-label="colour temperature"></label><label>green + / magenta \u2212 <input
  type="text" inputmode="text" data-act="pickduv" data-key="pickduv" value="${duv === 0 ? "0"
    : `${duv > 0 ? "+" : "\u2212"}${Math.abs(duv).toFixed(3)}`}"
  aria-label="distance from the Planckian locus, Duv"> Duv</label></div>
<p class="cap">In the file: ${text || "the head's own white"}. ${text
  ? m`<button class="lnk" data-act="picktake" data-arg="">back to its own</button>` : ""}</p></div></div></div>`;
}

/** The canvas behind the chart's lines. */
export function paintPicker(p: Page): void {
  const c = document.getElementById("chartfill");
  if (p.picking?.chart && c instanceof HTMLCanvasElement) fillChart(c, p.picking.chart, chartWidth(),
      p.theme === "booth" ? 0.3 : 0.45);
}
