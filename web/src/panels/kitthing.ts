// One thing of the kit: what its level rests on, what its maker's sheet says, its settings, one like it.
import type { GearField, GearView, SheetView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";
import { counted, refusal, stops, within } from "./kit.ts";

export function thingPart(p: Page): Markup {
  const v = p.gearThing, name = p.gearPick?.name ?? "";
  if (!v) return m`<div class="hd"><h2>${name}</h2></div>`;
  const x = v.item;
  return m`<div class="hd"><h2>${x.name}</h2><p>${v.file || "generic catalogue"}</p>
  ${button(p, "kitshut", "close", { cls: "lnk", title: "" })}</div>
<p class="gw">${[x.kind, x.says, counted(x), x.like ? `like ${x.like}` : ""].filter(Boolean).join(" · ")}</p>
${v.sheet ? sheet(p, v.sheet) : ""}${v.levels.length ? levels(v) : ""}${learned(p, v)}${like(p, v)}
<section class="gfields" aria-label="Settings"><h2>What you know of it better</h2>
<p class="cap">An empty field takes what stands in it in grey${x.own ? "" : `. What you type makes an entry of
  your own with this name`}.</p>${refusal(p, "remove")}${v.fields.map((f) => field(p, v, f))}</section>
${x.own ? m`<div class="acts">${button(p, "kitremove", "take it out of my kit", { cls: "lnk" })}</div>` : ""}
<p class="cap">Figures: ${x.source || "not said"}</p>`;
}

function levels(v: GearView): Markup {
  return m`<table class="glev"><caption>What its level rests on</caption><thead><tr><th scope="col">with</th>
    <th scope="col">rests on</th><th scope="col">known to</th></tr></thead><tbody>${v.levels.map((r) => m`<tr
    data-key="lv${r.with}"><th scope="row">${r.with}</th><td>${r.rests_on}</td>
    <td>${within(r.uncertainty_stops)}</td></tr>`)}</tbody></table>`;
}

/** What the maker's sheet says: asked before all else. */
function sheet(p: Page, s: SheetView): Markup {
  const d = p.gearSheet, value = (k: "guide" | "iso" | "lux" | "at"): string => d[k] ?? s[k],
    has = s.guide !== "" || s.lux !== "", gain = s.now_stops - s.then_stops > 0.02;
  const input = (k: "guide" | "iso" | "lux" | "at", words: string, hint: string): Markup => m`<label data-key="sh${k}">
    <span>${words}</span><input type="text" data-act="kitsheet" data-path="${k}" data-key="sheet-${k}"
    data-enter="kitsheetgo" value="${value(k)}" placeholder="${hint}" autocomplete="off" spellcheck="false"></label>`;
  const withs = [...new Set([d.with ?? s.with, ...s.choices])];
  return m`<section class="gsheet" aria-label="Maker’s sheet"><h2>What does its maker’s sheet say?</h2>
<p>${has ? "Its figures are used." : `Known to ${within(s.now_stops)} with ${s.with} now.`}
  ${gain ? ` With one figure of the sheet it is ${within(s.then_stops)}.` : ""}${s.other
    ? ` The entry also says it by ${s.other}.` : ""}</p><div class="gsh">
${s.flash ? m`${input("guide", "guide number, m", "58 m")}${input("iso", "at ISO", "100")}<em>or</em>
  ${input("lux", "lux seconds", "4000 lx s")}` : input("lux", "lux", "4000 lx")}${input("at", "at a distance of",
    "2 m")}
<label data-key="shwith"><span>with</span><select data-act="kitsheet" data-path="with" data-key="sheet-with">
  ${withs.map((w) => m`<option value="${w}"${w === (d.with ?? s.with) ? m` selected` : ""}>${w}</option>`)}</select>
</label>${button(p, "kitsheetgo", "use it", { cls: "go", title: "" })}${has ? button(p, "kitsheetoff", "take it out",
  { cls: "lnk", title: "" }) : ""}</div>${refusal(p, "sheet")}</section>`;
}

function learned(p: Page, v: GearView): Markup {
  const t = v.item.learned, kind = v.item.list.replace(/s$/, "");
  return t ? m`<p class="gw" data-key="taught">Learned from ${t.readings === 1 ? "1 reading" :
    `${t.readings} readings`}: ${stops(t.stops)} over its figures, ${within(t.sd_stops)}, ${t.date}.
    ${button(p, "learnforget", "forget it", { arg: `${kind} ${v.item.name.toLowerCase()}`, cls: "lnk", title: "" })}
    </p>${refusal(p, "forget")}` : m``;
}

function like(p: Page, v: GearView): Markup {
  return m`<section class="glike" aria-label="Add like"><label><span>Add like this, as</span><input type="text"
    data-act="kitlike" data-key="kitlike-${v.item.list}-${v.item.name}" value="${p.likeName}"
    autocomplete="off" spellcheck="false" data-enter="kitadd"></label>${button(p, "kitadd", "add like",
    { cls: "go", title: "" })}${refusal(p, "like")}</section>`;
}

function field(p: Page, v: GearView, f: GearField): Markup {
  const o = f.of, key = `gf-${v.item.list}-${v.item.name}-${o.key}`, words = o.words.length ? o.words : f.choices,
    common = m`data-act="kitset" data-path="${o.key}" data-key="${key}" aria-label="${o.key}"`,
    bad = p.gearFailed?.at === o.key ? m` aria-invalid="true"` : m``,
    as = f.takes ? `as before: ${f.takes}` : "not said";
  const list = o.kind === "flag" ? ["true", "false"] : words.length > 0 && words.length < 400 ? words : [];
  const body = list.length ? m`<select ${common}${bad}><option value=""${f.value ? "" : m` selected`}>${as}</option>
    ${[...new Set([...(f.value ? [f.value] : []), ...list])].map((w) => m`<option value="${w}"${w === f.value
      ? m` selected` : ""}>${o.kind === "flag" ? (w === "true" ? "yes" : "no") : w}</option>`)}</select>`
    : m`<input type="text" ${common}${bad} value="${f.value}" placeholder="${f.takes || (o.like ? `like ${o.like}`
      : "")}" autocomplete="off" spellcheck="false">`;
  const unit = o.unit && !o.says.includes(o.unit) ? ` (${o.unit})` : "";
  return m`<div class="gf" data-key="row-${key}"><span class="key">${o.key}</span>${body}<span class="cap">
    ${o.says.replace(/;? ?like `[^`]*`$/, "")}${unit}</span>${refusal(p, o.key)}</div>`;
}
