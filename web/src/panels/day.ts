// The Day screen: what it comes to, the lanes, what was found, the kit list with ticks, the papers.
import { hoursOf } from "./dayhead.ts";
import { dayDrawing, dayPlace, type DayPlace } from "../draw/day.ts";
import { attribute, put } from "../draw/morph.ts";
import { blocksOf, endsOf, lanesOf, shortName, type Block } from "../model/day.ts";
import type { Duration, Message } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { chip } from "../units/colour.ts";
import { clock, span } from "../units/clock.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";

/** Where the clock lies, for the hands. */
export let placed: DayPlace | null = null;

const serious = (x: Message): boolean => x.severity === "error" || x.severity === "finding";

export function showDay(p: Page, size: (e: Element) => [number, number]): void {
  const at = (id: string): Element | null => document.getElementById(id), head = at("dayhead"), bar = at("daybar"),
    svg = at("daysvg"), foot = at("dayfoot"), list = at("daylist");
  if (p.pane !== "day" || !head || !bar || !svg || !foot || !list) return;
  const quiet = p.dayDrag !== null, section = at("day");
  if (section) for (const [k, is] of [["part", p.dayPart], ["busy", p.dayBusy], ["plan", p.day?.day ? "1" : ""],
    ["revision", String(p.day?.revision ?? -1)], ["paper", p.paperMade ?
    `${p.paperMade.name} ${p.paperMade.pages}` : ""]] as const) attribute(section, `data-${k}`, is);
  put(head, hoursOf(p), quiet);
  put(bar, parts(p), quiet);
  if (p.dayPart !== "plan") {
    put(list, p.dayPart === "kit" ? kitList(p) : p.dayPart === "papers" ? papers(p) : findings(p));
    return;
  }
  const blocks = blocksOf(p.day), lanes = lanesOf(p.day), [w, h] = size(svg);
  put(foot, p.dayTask && blocks.some((b) => b.task.id === p.dayTask) ? detail(p, blocks) : reliefs(p), quiet);
  if (!p.day || w < 60 || h < 60) return;
  if (!p.day.day || blocks.length === 0) {
    put(svg, m`<text class="lane" x="14" y="40">
      ${p.day.problem || (p.day.day ? "Nothing can be planned: see what was found." : "")}</text>`);
    return;
  }
  const day = p.view?.lights.find((l) => l.kind === "daylight");
  const look = { w: Math.round(w), h: Math.round(h), ends: endsOf(p.day, blocks, p.dayZoom), task: p.dayTask,
    zoom: p.dayZoom, drag: p.dayDrag, sky: day ? chip(day.tint, p.theme)
    : "var(--line-2)", found: new Map(p.day.findings.filter(serious).map((f): [string, string] =>
    [setupOf(p, f), f.text])) };
  placed = dayPlace(p.day, lanes, look);
  attribute(svg, "viewBox", `0 0 ${look.w} ${look.h}`);
  put(svg, dayDrawing(p.day, blocks, placed, look), quiet);
}

/** Name of the setup that a finding is of; empty: of the whole. */
const setupOf = (p: Page, x: Message): string => {
  const i = /^setups\[(\d+)\]/.exec(x.at?.path ?? "")?.[1];
  return i === undefined ? "" : p.state?.setups[Number(i)]?.name ?? "";
};

function parts(p: Page): Markup {
  const n = p.day?.findings.filter((x) => x.severity !== "note").length ?? 0, kit = p.day?.kit ?? [],
    out = kit.filter((k) => k.out).length;
  const tab = (arg: Page["dayPart"], words: string | Markup): Markup => button(p, "daypart", words, { arg,
    on: p.dayPart === arg, title: "" });
  const order = (p.day?.locks.length ?? 0) > 0 ? `${p.day?.locks.length ?? 0} held` : "";
  return m`<nav class="tabs" aria-label="Parts of the day">
    ${tab("plan", "Plan")}${tab("found", `Found ${n}`)}${tab("kit", kit.length ?
    m`Kit list <span class="tw">${out} of ${kit.length} in the van</span>` : "Kit list")}${
    tab("papers", "Papers")}</nav>
<span class="sp"></span><span class="ds" role="status">
  ${p.dayBusy === "quick" ? "planning" : p.dayBusy === "all" ? "weighing what to give up" : ""}${p.day?.from ?
  ` planned anew from ${p.day.from}` : ""}${order && p.dayPart === "plan" ? ` · ${order}` : ""}</span>
${p.day?.from ? button(p, "daywhole", "the whole day’s plan", { cls: "lnk" }) : ""}${button(p, "daylate",
  p.day?.day?.live ? m`Late: plan anew from <b>${clock(p.day.day.live.now_seconds)}
  </b>` : "Late: plan anew from now", { cls: "go", title: "" })}`;
}

/** What could be given up, and what each buys. */
function reliefs(p: Page): Markup {
  const d = p.day?.day, list = d?.give_up_first ?? [];
  if (!d) return m``;
  const left = d.setups.filter((s) => !s.in && !s.shot).map((s) => s.setup);
  const none = p.dayBusy ? "is being weighed" : left.length ?
    `left out: ${left.join(", ")}; see what was found` :
    "nothing has to be given up: the day holds on nine days of ten or more";
  return m`<h2 class="fh">Time to be had</h2>${list.length === 0 ? m`<p class="fn0">${none}
    </p>` : list.slice(0, 4).map((r, k) => m`<div class="rel" data-key="rel${k}"><b>
    ${r.text.charAt(0).toUpperCase() + r.text.slice(1)}</b><p class="big">
    ${r.ends_earlier_minutes > 0 ? m`+${r.ends_earlier_minutes}
    <small> min</small> ` : ""}${Math.round(100 * r.chance_then)}<small> %</small></p><p>costs ${r.costs}</p>
    </div>`)}`;
}

const mean = (d: Duration): string => ((d.low + d.likely + d.high) / 3).toFixed(1);

/** The selected task and what can be said of it. */
function detail(p: Page, blocks: readonly Block[]): Markup {
  const b = blocks.find((x) => x.task.id === p.dayTask);
  if (!b) return m``;
  const t = b.task, timed = p.day?.day?.paces.find((x) => x.action === t.action);
  const s = p.day?.seen.find((x) => x.task === t.id), found = p.day?.findings.filter((x) =>
    x.severity !== "note" && setupOf(p, x) === (t.setup ?? "-") && about(t.text, x.text, t.picture)) ?? [];
  return m`<div class="sel" data-key="sel${t.id}"><h2 class="fh">${shortName(t)}</h2><p>
    ${[t.setup && !t.picture ? `for ${t.setup}` : "", t.people.join(" + "),
    `${clock(b.start)} to ${clock(b.end)}, ${span(b.end - b.start)}`, b.over ? "done" : b.running ?
    "under way" : b.critical ?
    "no slack: if it is late, a picture or the end is" : `slack ${span(t.slack_seconds)}`, t.critical > 0.005 ?
    `makes the end on ${Math.round(100 * t.critical)} days of 100` : "", timed ?
    `timed ${timed.timed === 1 ? "once" : `${timed.timed} times`}: about ${mean(timed.now)} min, usually ${
      mean(timed.usual)} min` : "", t.locked ? "held" : ""].filter(Boolean).join(" · ")}</p>${
    found.slice(0, 2).map((x) => m`<p class="fnd"><b>${x.severity}</b> ${x.text}</p>`)}</div>
<div class="selacts">${b.over || b.running ? "" : button(p, "daybegun", "begun", { arg: t.id,
  teach: true })}${b.over ? "" : button(p, "daydone", "done", { arg: t.id, teach: true })}${s ? button(p,
  "dayundo", "take that back", { arg: t.id }) : ""}${b.over ? "" : button(p, "dayhold", t.locked ? "free" : "hold",
  { arg: t.id, on: t.locked, teach: true })}${button(p, "dayname", "close", { arg: t.id, key: "dayname-close",
  title: "" })}</div>`;
}

/** A finding is about a task where it names what the task handles; all of a setup's are about its picture. */
const about = (task: string, found: string, picture: boolean): boolean =>
  picture || task.toLowerCase().split(/[^\p{L}\d]+/u).some((w) => w.length > 3 && found.toLowerCase().includes(w));

const rank = { error: 0, finding: 1, caution: 2, note: 3 } as const;

function findings(p: Page): Markup {
  const list = [...(p.day?.findings ?? [])].sort((a, b) => rank[a.severity] - rank[b.severity]);
  if (list.length === 0) return m`<p class="none">Nothing was found of the day.</p>`;
  return m`<div class="found">${list.map((x, i) => {
    const path = x.at?.path ?? "", setup = setupOf(p, x);
    const there = path.startsWith("setups[") ?
      m`${button(p, "dayshow", "in the plan", { path, arg: "plan", cls: "lnk", key: `fp${i}`,
        title: "" })} ${button(p, "dayshow", "in the picture", { path, arg: "frame", cls: "lnk", key: `ff${i}`,
        title: "" })}` : "";
    return m`<div class="msg ${x.severity}" data-key="f${i}"><div><b>${x.severity}
      </b> ${setup && !x.text.includes(setup) ? `${setup}: ` : ""}${x.text}</div>
      ${(x.remarks ?? []).map((r) => m`<div class="lim">limit: ${r.text}</div>`)}${x.fix ? m`<div class="fix">
      ${x.fix}</div>` : ""}<div class="acts">
      ${there}${x.at?.line ?
      m`<button class="lnk" data-act="goto" data-n="${x.at.line}" data-arg="${x.at.col ?? 1}"
        data-text="${x.at.len ?? 1}">line ${x.at.line}</button>` : ""}</div></div>`;
  })}<p class="none">Planning hints: the venue, local codes and licensed people decide.</p></div>`;
}

function kitList(p: Page): Markup {
  const v = p.day, kit = v?.kit ?? [];
  if (!v || kit.length === 0) return m`<p class="none">
    ${p.dayBusy ? "The kit list is being made." : v?.problem || "Nothing to pack."}</p>`;
  let group = "";
  const tick = (what: "out" | "back", name: string, on: boolean, words: string): Markup =>
    m`<button class="tick${on ? " on" : ""}" data-act="kit${what}" data-arg="${name}"
      data-key="k${what}${name}" role="checkbox" aria-checked="${on ? "true" : "false"}"
      aria-label="${name} ${words}">${on ? "✓" : ""}</button>`;
  return m`<div class="kit"><p class="ks">
    ${v.kit_says[v.kit_says.length - 1] ?? ""}. Ticks are kept in ${v.kept}.</p><div class="kr kh"><span>out</span>
    <span>back</span><span></span><span></span><span>kg each</span><span></span></div>${kit.map((k) => {
    const head = k.group === group ? "" : m`<h3 class="kg" data-key="g${(group = k.group)}">${group}</h3>`;
    return m`${head}<div class="kr" data-key="kr${k.name}">
      ${tick("out", k.name, k.out, "in the van")}${tick("back", k.name, k.back, "home again")}<b>${k.need}</b>
      <span class="nm">${k.name}</span><span class="kw">${k.weight_kg ? k.weight_kg.toFixed(1) : ""}</span>
      <span class="wy">${k.hire > 0 ? m`<b>hire ${k.hire}</b> ` : ""}${k.why}</span></div>`;
  })}${v.kit_says.slice(0, -1).map((x, i) => m`<p class="ks" data-key="ks${i}">${x}.</p>`)}</div>`;
}

function papers(p: Page): Markup {
  const made = p.paperMade, list = p.day?.papers ?? [], at = `name=${p.paper}&paper=${p.paperSize}`,
    stale = made && p.day && made.revision !== p.day.revision && p.day.revision >= 0;
  const name = (n: string, says: string): Markup => m`<li>${button(p, "paper", m`<b>${n}
    </b> ${says}`, { arg: n, on: p.paper === n, title: "" })}</li>`;
  const pages = Array.from({ length: made?.pages ?? 0 }, (_, i) =>
    m`<img data-key="pg${i}-${p.paper}"
      src="/api/papers/file?${at}&format=svg&page=${i + 1}&r=${made?.revision ?? 0}.${p.day?.from ?? ""}"
      width="${Math.round(((made?.size_mm[0] ?? 210) * 96) / 25.4)}"
      height="${Math.round(((made?.size_mm[1] ?? 297) * 96) / 25.4)}"
      alt="Page ${i + 1} of ${made?.pages ?? 0}: ${p.paper}">`);
  return m`<div class="paps"><div class="paplist"><ul>
    ${list.map((x) => { const [n, ...rest] = x.says.split(": "); return name(x.name, rest.length ?
    n ?? "" : x.says); })}${name("book", "everything in one")}</ul>
<div class="papacts">${button(p, "papersize", "A4", { arg: "a4", on: p.paperSize === "a4" })}${button(p,
  "papersize", "Letter", { arg: "letter", on: p.paperSize === "letter" })}${button(p, "dayprint", "Print",
  { cls: "go" })}<a class="lnk" href="/api/papers/file?${at}&format=pdf" target="_blank" rel="noopener"
    data-key="pdf">as PDF</a>${made && made.pages === 1 ? m`<a
    class="lnk" href="/api/papers/file?${at}&format=png" target="_blank" rel="noopener"
    data-key="png">as PNG</a>` : ""}</div></div>
<div class="sheets ${p.paperSize}" tabindex="0" role="group" aria-label="Pages">
  ${p.paperDone >= 0 ? m`<p class="none" role="status">Being made${p.paperDone > 0 ? `,
  ${Math.round(100 * p.paperDone)} %` : ""}. Papers with light in them take some seconds a setup.</p>` : stale ?
  m`<p class="none">Of the shoot before the last change. ${button(p, "paper", "make it anew", { arg: p.paper,
    cls: "lnk", key: "anew" })}</p>` : ""}${made && made.pages === 0 ? m`<p
    class="none">This paper has nothing to say of this shoot.</p>` : ""}${pages}</div></div>`;
}
