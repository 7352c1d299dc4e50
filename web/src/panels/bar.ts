// The top bar, the banner of mistakes, the line of state, what lies over everything, and the phone's switch.
import { keysOf } from "../actions/action.ts";
import { screenNames } from "../actions/list/page.ts";
import { listed } from "../actions/listed.ts";
import { actions } from "../actions/registry.ts";
import { mistakes, whichStands, type Page } from "../state/store.ts";
import { kept, m, type Markup } from "../units/markup.ts";
import { button, choose } from "./button.ts";
import { progressSay, savedSay, timeOf } from "./says.ts";

const found = (p: Page): number => {
  const all = [...(p.state?.messages ?? []), ...(p.view?.messages ?? [])];
  return all.filter((x) => x.severity === "error" || x.severity === "finding").length;
};

/** Setups as tabs, or as a list where they would take the bar for themselves. */
function setups(p: Page): Markup {
  const all = p.state?.setups ?? [], long = all.reduce((n, s) => n + s.name.length + 4, 0) > 64;
  if (all.length < 2) return m`<nav class="tabs setups" aria-label="Setups">
      ${all.map((x) => m`<b class="one">${x.name}</b>`)}</nav>`;
  if (long) {
    return m`<nav class="tabs setups" aria-label="Setups">
      ${choose("setup", "Setup shown", all.map((x, i) => ({ value: String(i), words: x.name, on: i === p.setup })),
      { key: "setuplist" })}<small>${p.setup + 1} of ${all.length}</small></nav>`;
  }
  return m`<nav class="tabs setups" aria-label="Setups">
    ${all.map((x, i) => button(p, "setup", x.name, { arg: String(i), on: i === p.setup, title: x.name }))}</nav>`;
}

function history(p: Page): Markup {
  const s = p.state, undo = s?.undo ?? "", redo = s?.redo ?? "", not = whichStands(p);
  return m`<div class="undo" role="group" aria-label="Undo and redo">
    ${button(p, "undo", m`Undo${undo ? m` <b>${undo}</b>` : ""}`,
    { title: not || (undo ? `Undo: ${undo}` : "Nothing to undo") })}${button(p, "redo",
      m`Redo${redo ? m` <b>${redo}</b>` : ""}`, { title: not || (redo ? `Redo: ${redo}` : "Nothing to redo") })}</div>`;
}

const project = (s: Page["state"]): string =>
  (!s ? "" : s.begin ? `an empty folder: ${s.begin.replace(/.*[\\/]/, "")}`
    : `${s.title || s.file}${s.demonstration ? " (demonstration)" : ""}`);

export function bar(p: Page): Markup {
  const s = p.state, n = found(p),
    words = (k: string, w: string): string => (k === "checks" && n ? `Checks ${n}` : w),
    other = p.theme === "booth" ? "paper" : "booth";
  const narrow = m`<div class="narrow">
    ${choose("setup", "Setup shown",
      (s?.setups ?? []).map((x, i) => ({ value: String(i), words: x.name, on: i === p.setup })), { key: "nsetup" })}
${choose("panesel", "Screen shown",
  screenNames.map(([k, w]) => ({ value: k, words: words(k, w), on: k === p.pane })), { key: "npane" })}
${button(p, "undo", "Undo", { key: "nundo", label: s?.undo ? `Undo: ${s.undo}` : "Nothing to undo" })}${button(p,
  "redo", "Redo", { key: "nredo", label: s?.redo ? `Redo: ${s.redo}` : "Nothing to redo" })}
${button(p, "help", "?", { key: "nhelp", label: "All actions" })}</div>`;
  return m`<span class="wm">halfstop</span><span class="pj" title="${s?.title ?? ""}">${project(s)}</span>${setups(p)}
<span class="sp"></span>${history(p)}<nav class="tabs screens" aria-label="Screens">
  ${screenNames.map(([k, w]) => button(p, "pane", words(k, w), { arg: k, on: p.pane === k }))}</nav>
<nav class="tabs ground" aria-label="Ground">
  ${button(p, "theme", "Booth", { arg: "booth", on: p.theme === "booth" })}${button(p, "theme", "Paper",
    { arg: "paper", on: p.theme === "paper" })}
${button(p, "help", "?", { on: p.help, label: "All actions with their keys" })}</nav>
  ${narrow}${button(p, "theme", other, { arg: other, key: "ntheme", cls: "narrowtheme" })}`;
}

/** What is shown is of the plan before the mistakes: how many, which is the first, and the way there. */
export function banner(p: Page): Markup {
  const list = mistakes(p), first = list[0], s = p.state;
  if (!first || !s) return m``;
  const ofText = s.messages.includes(first), what = ofText ? s.file : `the setup ${p.view?.name ?? ""}`;
  const n = list.length === 1 ? "a mistake" : `${list.length} mistakes`,
    line = first.at?.line ? `line ${first.at.line}, ` : "";
  const head = s.good_revision === 0 ? m`<b>Nothing can be shown yet.</b>`
    : m`<b>This is the plan before${p.goodAt ? `, of ${timeOf(p.goodAt)}` : ""}.</b>`;
  return m`<div class="err" role="alert" data-key="err"><p>${head} ${what} has ${n}; ${list.length > 1 ? "first: "
    : ""}${line}${first.text}${first.fix ? m`: <i>${first.fix}.</i>` : "."}</p>${first.at?.line
    ? m`<button class="lnk" data-act="goto" data-n="${first.at.line}" data-arg="${first.at.col ?? 1}"
      data-text="${first.at.len ?? 1}" data-key="err-go">go there</button>` : ""}</div>`;
}

const hints: readonly (readonly [string, string])[] = [["row", "point"], ["more", "its wish"], ["hold", "hold"],
  ["pane-ways", "ways out"], ["exchange", "plan and picture"], ["help", "all actions"]];

/** The line of state: what is saved, what is computed, what is alone; a message while there is one, else keys. */
export function stateLine(p: Page): Markup {
  const keys = hints.map(([name, words]) => {
    const a = actions.find((x) => x.name === name);
    return a ? m`<span><kbd>${keysOf(a, true)}</kbd> ${words}</span>` : "";
  });
  const solo = p.view?.lights.find((l) => l.path === p.solo);
  const toast = m`<div class="toast" role="alert" data-key="toast"><span>${p.toast}</span>
    ${button(p, "toast", "close", { label: "Close the message", title: "" })}</div>`;
  return m`<span class="sv" role="status">${savedSay(p)}</span><span class="pr" role="status">
    ${progressSay(p)}</span>${solo
    ? m`<span class="al" role="status"><b>${solo.name} alone</b> ${button(p, "unsolo", "all lights", { cls: "lnk" })}
      </span>` : ""}<span class="sp"></span>${p.toast ? toast : m`<span class="kx" aria-hidden="true">${keys}</span>`}`;
}

/** Both texts of a file that another program changed. */
function both(p: Page): Markup {
  if (!p.disk || !p.both) return m``;
  const mine = p.text.split("\n"), theirs = p.disk.text.split("\n"), there = new Set(mine), here = new Set(theirs);
  const col = (title: string, lines: string[], other: Set<string>) => m`<div><h3>${title}</h3><pre tabindex="0">
    ${lines.map((l) => m`<span${other.has(l) ? "" : m` class="new"`}>${l}${"\n"}</span>`)}</pre></div>`;
  return m`<div class="help both" role="dialog" aria-label="Both texts" data-key="both"><div class="hd">
    <h2>The file on disk and what is here</h2><p>Lines that differ are marked.</p>
    ${button(p, "both", "close", { cls: "end lnk", title: "" })}</div>
<div class="twotexts">${col("on disk", theirs, there)}${col("here", mine, here)}</div><div class="acts">
  ${button(p, "disk", "take the file on disk", { arg: "theirs" })}${button(p, "disk", "keep what is here",
    { arg: "ours" })}</div></div>`;
}

/** The list of all actions: searched by words, done by Enter or a press; it teaches the keys. */
function actionList(p: Page): Markup {
  if (!p.help) return m``;
  const list = listed(p, p.seek);
  let group = "";
  const rows = list.map((x, k) => {
    const of = x.leads ?? x.action, name = of.group === "form" ? "in a field or on a button" : of.group,
      head = name === group ? "" : m`<li class="grp">${(group = name)}</li>`,
      off = x.why !== "" || (x.action.told && !x.action.each);
    return m`${head}<li>${kept(m`<button data-key="do${of.name}${k}" class="do" data-act="${x.action.name}"
      data-from="list"${x.says.arg ? m` data-arg="${x.says.arg}"` : ""}${x.says.path
      ? m` data-path="${x.says.path}"` : ""}${x.says.n === undefined ? "" : m` data-n="${x.says.n}"`}${off
        ? m` aria-disabled="true"` : ""}><span>${x.words}${x.why ? m`: <em>${x.why}</em>` : ""}</span>
        <kbd>${keysOf(of)}</kbd></button>`)}</li>`;
  });
  return m`<div class="help" role="dialog" aria-label="All actions" data-key="help"><div class="hd">
    <h2>Everything that can be done here</h2><p>Type what you look for; Enter does the first, ↓ goes down the list.</p>
    ${button(p, "help", "close", { cls: "end lnk finger", key: "help-close", title: "" })}</div>
<input type="text" class="seek" data-act="seek" data-key="seek" data-own="" data-enter="first" autocomplete="off"
  spellcheck="false" aria-label="Words to look for" placeholder="like: dim, kelvin, floor plan, solo, fix">
<ul class="dos">${rows}${list.length ? "" : m`<li class="none">Nothing is called that. Try another word, or
  fewer.</li>`}</ul>
<p class="cap">Single keys rest while a field is open. A drag in the plan snaps to tenths of a metre, to walls and to
  what stands near; hold Alt to move freely. Arrow keys move what has the focus in the plan, with Alt up and
  down.</p></div>`;
}

/** The first line that was typed and waits for the word which stands. */
function myLine(p: Page): Markup {
  const was = new Set(p.textBase.split("\n")), line = p.text.split("\n").find((l) => l.trim() && !was.has(l))?.trim();
  return line ? m`Yours: <code>${line.length > 60 ? `${line.slice(0, 58)} …` : line}</code>` : m``;
}

export function over(p: Page): Markup {
  const clash = m`<div class="lost" role="alertdialog" aria-label="Two changed the same lines" data-key="clash">
    <b>The lines that you type in were changed meanwhile,</b> by an undo or by another page. ${myLine(p)}
    ${button(p, "clash", "keep mine", { arg: "mine" })} ${button(p, "clash", "take theirs", { arg: "theirs" })}
    Either way the other is in the history.</div>`;
  const n = p.waiting, waits = n > 0 ? `${n} ${n === 1 ? "change waits" : "changes wait"} here and will be made.`
    : "what you change or type is kept here and sent when it is back.";
  const lost = m`<div class="lost" role="status" data-key="lost"><b>Connection lost.</b> Trying again by itself. What
    you see is the last that was known; ${waits}</div>`;
  return m`${p.link === "lost" ? lost : ""}${p.clash ? clash : ""}${both(p)}${actionList(p)}`;
}

const parts = [["frame", "Frame"], ["ladder", "Ladder"], ["plan", "Plan"], ["lights", "Lights"]] as const;

export const phone = (p: Page): Markup =>
  m`${parts.map(([k, w]) => button(p, "phone", w, { arg: k, on: p.phone === k && p.pane === "desk", title: w }))}`;
