// Ways out of what the look misses: ranked, each with its five costs; one press takes one, undo gives it back.
import type { WayJSON } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { minus, signed } from "../units/stops.ts";

export function waysOut(p: Page): Markup {
  const w = p.ways, stale = w !== null && w.revision !== p.view?.revision;
  return m`<div class="hd"><h2>Ways out</h2><p role="status">${p.searching >= 0 ? `searching, ${Math.round(p.searching * 100)} %` : w === null ? "" : stale ? "of the plan before the last change" : "ranked by loss to the look, then minutes"}</p>${p.searching < 0 && (stale || w === null) ? m`<button class="lnk end" data-act="search">search ${stale ? "again" : ""}</button>` : ""}</div><div class="list">${w === null ? (p.searching >= 0 ? m`<p class="none">The look is balanced, then each way out is tried and balanced anew. This takes some seconds.</p>` : "") : list(p)}</div>`;
}

function list(p: Page): Markup {
  const w = p.ways;
  if (!w) return m``;
  if (w.ways.missed.length === 0) return m`<p class="none">Nothing is missed: balancing meets the whole look.</p>`;
  return m`${w.ways.missed.map((x, i) => m`<div class="missed" data-key="missed${i}"><b>${x.words}: ${Math.abs(x.residual_stops).toFixed(1)} stops ${x.residual_stops < 0 ? "short" : "over"}.</b> ${x.reason}</div>${x.ways.map((y, k) => way(y, i, k, (w.takes[i]?.[k]?.edits.length ?? 0) > 0))}`)}${w.ways.refused.length ? m`<div class="missed"><b>Thought of, but they cannot stand here</b></div>${w.ways.refused.map((r) => m`<div class="msg">${r.words}: ${r.why}</div>`)}` : ""}${w.ways.stopped ? m`<p class="none">The search was cut short; there may be more.</p>` : ""}`;
}

function way(y: WayJSON, i: number, k: number, can: boolean): Markup {
  const soft = y.softness > 0 && Math.abs(y.softness - 1) > 0.02 ? `× ${y.softness.toFixed(2)}` : "same";
  return m`<div class="way" data-key="way${i}-${k}"><span class="no">${k + 1}</span><div><b>${y.words}</b>${y.detail ? m` ${minus(y.detail)}` : ""}</div>${can ? m`<button class="take" data-act="take" data-arg="${i}" data-n="${k}" aria-label="Take: ${y.words}">take</button>` : m`<span></span>`}
<dl class="costs"><div><dt>still short</dt><dd>${y.still_short_stops.toFixed(1)} <small>st</small></dd></div><div><dt>other rungs</dt><dd title="${y.others_at ?? ""}">${signed(y.others_stops)} <small>st</small></dd></div><div><dt>colour</dt><dd>${y.delta_e2000.toFixed(1)} <small>ΔE</small></dd></div><div><dt>shadow edge</dt><dd>${soft}</dd></div><div><dt>time</dt><dd>${y.minutes.toFixed(0)} <small>min ${y.who}</small></dd></div></dl>
${y.settings.length || y.needs.length || y.not_free.length ? m`<div class="more">${minus([...y.settings, ...(y.needs.length ? [`needs ${y.needs.join(", ")}`] : []), ...(y.not_free.length ? [`not free: ${y.not_free.join(", ")}`] : [])].join("; "))}</div>` : ""}</div>`;
}
