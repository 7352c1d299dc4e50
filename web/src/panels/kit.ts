// The Kit screen: own things beside the generic ones, the thing chosen, files, what readings taught.
import type { OwnItem, Rests } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { kept, m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";
import { filesPart } from "./kitfiles.ts";
import { thingPart } from "./kitthing.ts";
import { learnPart } from "./learn.ts";

/** Stops with their sign; under the last digit none. */
export function stops(x: number, digits = 2): string {
  const s = Math.abs(x).toFixed(digits);
  return `${Number(s) === 0 ? "" : x < 0 ? "−" : "+"}${s} st`;
}

export const within = (sd: number): string => `± ${sd.toFixed(2)} st`;

/** Why the last change could not be made, where it was asked. */
export function refusal(p: Page, at: string): Markup {
  const f = p.gearFailed;
  return f?.at === at ? m`<p class="gno" role="alert" data-key="no-${at}">${f.text}</p>` : m``;
}

export function kitScreen(p: Page): Markup {
  return m`${head(p)}${p.gearTab === "files" ? filesPart(p) : p.gearTab === "learned" ? learnPart(p) : things(p)}`;
}

function head(p: Page): Markup {
  const v = p.gear, tab = (arg: Page["gearTab"], words: string): Markup => button(p, "kittab", words, { arg,
    on: p.gearTab === arg, title: "" });
  const n = p.imports.length, learned = p.lessons?.readings.filter((r) => r.state !== "back").length ?? 0;
  return m`<div class="kithead"><label class="lf">Find <input type="search" data-act="kitfind" data-key="kitfind"
    value="${p.gearQuery}" autocomplete="off" spellcheck="false" placeholder="soft, 60 cm, under 1 kg"></label>
<nav class="tabs" aria-label="Parts of the kit">${tab("things", "Things")}${tab("files", n ? `Files ${n}` : "Files")}${
  tab("learned", learned ? `Learned ${learned}` : "Learned")}</nav>
<span class="ds" role="status" data-key="kitsay">${says(p)}</span>${v && p.gearQuery ? button(p, "kitall", "all of it",
  { cls: "lnk" }) : ""}</div>`;
}

function says(p: Page): string {
  const v = p.gear;
  if (p.gearBusy === "change") return "writing the kit";
  if (p.gearBusy === "import") return "reading the files";
  if (!v) return "reading the kit";
  if (v.query && v.own.length + v.generic.length === 0) return `Nothing fits all of it: ${v.alone.join(", ")}.`;
  return `${v.own.length} own and ${v.generic.length} generic things${v.query ? " fit" : ""}. Own kit is kept in ${
    v.folder}.`;
}

function things(p: Page): Markup {
  const v = p.gear;
  return m`<div class="gearmain"><div class="gearlist" tabindex="0" role="group" aria-label="Own things">
<h2>Own</h2>${v ? list(p, v.own, "own") : ""}${v && !v.own.length ? m`<p class="none">${v.query
  ? "No own thing fits." : "Nothing of your own yet. Choose a generic thing that is like yours, and add one like it; " +
  "or read a maker’s file."}</p>` : ""}</div>
<div class="gearlist" tabindex="0" role="group" aria-label="Generic things"><h2>Generic</h2>${v
  ? list(p, v.generic, "generic") : ""}</div>
<div class="gearwork" tabindex="0" role="group" aria-label="The chosen thing">${p.gearPick ? thingPart(p) : first(p)}
</div></div>`;
}

/** Which maker's sheets are worth looking for first. */
function first(p: Page): Markup {
  const list = p.gear?.ask_first ?? [];
  return m`<div class="gearfirst"><h2>Ask the maker’s sheet first</h2>${list.length ? m`<p>One figure of it, lux at a
    distance with a modifier or the guide number, narrows a prediction more than anything else you can type. These
    heads of the shoot rest on the generic catalogue:</p><ul>${list.map((x) => m`<li data-key="af${x.name}">
    ${button(p, "kitpick", m`<b>${x.name}</b> <span>${x.uses === 1 ? "1 light" : `${x.uses} lights`}, ${x.level
      ? `${within(x.level.uncertainty_stops)} with ${x.level.with}` : ""}</span>`, { path: x.list, arg: x.name,
      key: `first-${x.name}`, title: "" })}</li>`)}</ul>` : m`<p>${p.gear ? `No head of the shoot rests on the generic
    catalogue alone. Choose a thing to see what is known of it.` : ""}</p>`}</div>`;
}

const titles: Record<string, string> = { heads: "Heads", modifiers: "Modifiers", grids: "Grids", gels: "Gels",
  panels: "Panels", stands: "Stands and clamps", surfaces: "Surfaces", things: "Cables, batteries, cases, bags" };

/** How many there are, whose, and what one weighs. */
export const counted = (x: OwnItem): string => [x.have ? `${x.have} ×` : "", x.owner || (x.own ? "own" : ""),
  x.weight_kg ? `${x.weight_kg} kg` : ""].filter(Boolean).join(" ");

/** Which of the three a level rests on, and its ± in stops. */
export const rests = (r: Rests): string => `${within(r.uncertainty_stops)}, ${r.rests_on}`;

function list(p: Page, of: readonly OwnItem[], which: string): Markup {
  return m`${Object.entries(titles).map(([key, title]) => {
    const mine = of.filter((x) => x.list === key);
    return mine.length ? m`<h3 data-key="${which}-${key}">${title}</h3><ul data-key="${which}l-${key}">
      ${mine.map((x) => row(p, x))}</ul>` : m``;
  })}`;
}

function row(p: Page, x: OwnItem): Markup {
  const on = p.gearPick?.list === x.list && p.gearPick.name.toLowerCase() === x.name.toLowerCase();
  return kept(m`<li data-key="g-${x.list}-${x.name}">${button(p, "kitpick", m`<b>${x.name}</b><span class="gc">
    ${counted(x)}</span><span class="gs">${[x.kind, x.says].filter(Boolean).join(" · ")}${x.uses
    ? ` · on ${x.uses === 1 ? "1 light" : `${x.uses} lights`}` : ""}</span>${x.level ? m`<span class="gl">
    ${rests(x.level)}</span>` : x.learned ? m`<span class="gl">${stops(x.learned.stops)}, learned</span>` : ""}`,
    { path: x.list, arg: x.name, on, key: `p-${x.list}-${x.name}`, title: "", cls: "grow" })}</li>`);
}
