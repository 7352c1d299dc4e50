// The top bar, what lies over everything (link lost, a message, the key list, a change on disk), and the phone's switch.
import { keys } from "../actions/keys.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";

const tab = (act: string, arg: string | number, on: boolean, words: string, label = ""): Markup =>
  m`<button data-act="${act}" data-arg="${arg}" data-key="${act}-${arg}" class="${on ? "on" : ""}" aria-pressed="${on ? "true" : "false"}" ${label ? m`aria-label="${label}"` : ""}>${words}</button>`;

export function bar(p: Page): Markup {
  const s = p.state;
  const worst = [...(s?.messages ?? []), ...(p.view?.messages ?? [])].filter((x) => x.severity === "error" || x.severity === "finding").length;
  const names: [string, string][] = [["desk", "Desk"], ["setups", "Setups"], ["edit", "Edit"], ["text", "Text"], ["ways", "Ways out"], ["checks", worst ? `Checks ${worst}` : "Checks"]];
  const other = p.theme === "booth" ? "paper" : "booth";
  // Where there is no room for tabs, lists do the same.
  const narrow = m`<div class="narrow"><select data-act="setupsel" data-key="setupsel" aria-label="Setup shown">${(s?.setups ?? []).map((x, i) => m`<option value="${i}" ${i === p.setup ? m`selected` : ""}>${x.name}</option>`)}</select><select data-act="panesel" data-key="panesel" aria-label="Screen shown">${names.map(([k, w]) => m`<option value="${k}" ${k === p.pane ? m`selected` : ""}>${w}</option>`)}</select><button data-act="undo" data-key="nundo" ${s?.undo ? "" : m`disabled`} aria-label="${s?.undo ? `Undo: ${s.undo}` : "Nothing to undo"}">Undo</button><button data-act="theme" data-arg="${other}" data-key="ntheme">${other}</button></div>`;
  return m`<span class="wm">halfstop</span><span class="pj">${s?.title ?? ""}${s?.demonstration ? " (demonstration)" : ""}</span>
<nav class="tabs setups" aria-label="Setups">${(s?.setups ?? []).map((x, i) => tab("setup", i, i === p.setup, x.name))}</nav><span class="sp"></span>
<div class="undo" role="group" aria-label="Undo and redo"><button data-act="undo" data-key="undo" ${s?.undo ? "" : m`disabled`} title="${s?.undo ? `Undo: ${s.undo}` : "Nothing to undo"}">Undo${s?.undo ? m`<small> ${s.undo}</small>` : ""}</button><button data-act="redo" data-key="redo" ${s?.redo ? "" : m`disabled`} title="${s?.redo ? `Redo: ${s.redo}` : "Nothing to redo"}">Redo</button></div>
<nav class="tabs" aria-label="Screens">${names.map(([k, w]) => tab("pane", k, p.pane === k, w))}</nav>
<nav class="tabs ground" aria-label="Ground">${tab("theme", "booth", p.theme === "booth", "Booth")}${tab("theme", "paper", p.theme === "paper", "Paper")}${tab("help", "", p.help, "?", "Keyboard overview")}</nav>${narrow}`;
}

export function over(p: Page): Markup {
  return m`${p.link === "lost" ? m`<div class="lost" role="status" data-key="lost"><b>Connection lost.</b> Trying again by itself. What you see is the last that was known; ${p.waiting > 0 ? `${p.waiting} ${p.waiting === 1 ? "change waits" : "changes wait"} here and will be made.` : "what you change or type is kept here and sent when it is back."}</div>` : ""}
${p.disk ? m`<div class="lost" role="alertdialog" aria-label="The file changed on disk" data-key="disk"><b>The file was changed by another program.</b> <button data-act="disk" data-arg="theirs">take theirs</button> <button data-act="disk" data-arg="ours">keep ours</button></div>` : ""}
${p.clash ? m`<div class="lost" role="alertdialog" aria-label="Two changed the same lines" data-key="clash"><b>Another page changed the lines you are typing in.</b> <button data-act="clash" data-arg="mine">keep mine</button> <button data-act="clash" data-arg="theirs">take theirs</button> Either way the other is in the history.</div>` : ""}
${p.state?.trouble ? m`<div class="lost" role="status" data-key="trouble"><b>Not saved:</b> ${p.state.trouble}</div>` : ""}
${p.toast ? m`<div class="toast" role="alert" data-key="toast"><span>${p.toast}</span><button data-act="toast" aria-label="Close the message">close</button></div>` : ""}
${p.help ? m`<div class="help" role="dialog" aria-label="Keyboard" data-key="help"><div class="hd"><h2>Keyboard</h2><button data-act="help" class="end">close</button></div><dl>${keys.map((k) => m`<div><dt>${k.keys}</dt><dd>${k.words}</dd></div>`)}</dl><p class="cap">Single keys rest while you type in a field. Tab walks picture, camera, ladder, plan, lights. A drag in the plan snaps to tenths of a metre, to walls and to what stands near; hold Alt to move freely. Arrow keys move what has the focus, with Alt up and down; on the plan itself they move the plan.</p></div>` : ""}`;
}

export const phone = (p: Page): Markup => m`${(["frame", "ladder", "plan", "lights"] as const).map((x) => tab("phone", x, p.phone === x, { frame: "Frame", ladder: "Ladder", plan: "Plan", lights: "Lights" }[x]))}`;
