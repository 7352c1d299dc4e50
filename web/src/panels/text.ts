// The shoot file as text with its messages at their place, and the list of checks.
import type { Message } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { otherHour } from "./hours.ts";
import { m, type Markup } from "../units/markup.ts";

export const allMessages = (p: Page): Message[] => {
  const seen = new Set<string>();
  return [...(p.state?.messages ?? []), ...(p.view?.messages ?? [])].filter((x) => {
    const k = `${x.code} ${x.at?.line ?? 0} ${x.text}`;
    return !seen.has(k) && seen.add(k);
  });
};

const rank = { error: 0, finding: 1, caution: 2, note: 3 } as const;

export function gutter(p: Page): Markup {
  const n = p.text.split("\n").length, bad = new Map<number, Message>();
  for (const x of allMessages(p)) {
    const line = x.at?.line;
    if (line && (!bad.has(line) || rank[x.severity] < rank[bad.get(line)?.severity ?? "note"])) bad.set(line, x);
  }
  return m`${Array.from({ length: n }, (_, i) => {
    const x = bad.get(i + 1);
    return m`<span class="${x ? x.severity : ""}">${x ? (x.severity === "error" ? "× " : "· ") : ""}${i + 1}</span>`;
  })}`;
}

export function messageList(p: Page, kinds: readonly Message["severity"][]): Markup {
  const list = allMessages(p).filter((x) => kinds.includes(x.severity))
    .sort((a, b) => rank[a.severity] - rank[b.severity]);
  if (list.length === 0) return m`<p class="none">No mistakes found.</p>`;
  return m`${list.map((x, i) => m`<div class="msg ${x.severity}" data-key="msg${i}"><div>
    <b>${x.severity}</b> ${x.text}${x.at?.line
      ? m` <button data-act="goto" data-n="${x.at.line}" data-arg="${x.at.col ?? 1}"
        data-text="${x.at.len ?? 1}">line ${x.at.line}</button>` : ""}</div>${p.pane === "text" && x.at?.source
      ? m`<pre tabindex="0">${x.at.source}${"\n"}${" ".repeat(Math.max(0, (x.at.col ?? 1) - 1))}${"^".repeat(
        Math.max(1, x.at.len ?? 1))}</pre>` : ""}${x.fix
      ? m`<div class="fix">${x.severity === "error" ? "fix: " : ""}${x.fix}</div>` : ""}</div>`)}`;
}

/** The checks of the setup shown and of the file. */
export function checks(p: Page): Markup {
  const name = p.view?.name ?? "", hour = otherHour(p);
  return m`<div class="hd"><h2>Checks</h2><p role="status">${name ? `of ${name}, and of the file` : ""}${hour
    ? m`, <b>${hour}</b>` : ""}</p></div><div class="list">
    ${allMessages(p).length ? messageList(p, ["error", "finding", "caution", "note"])
      : m`<p class="none">Nothing found. Looked at: what stands in a wall, through the ceiling, inside something, in
        the frame or reflected into it; heights overhead, heat, smoke heads, circuits, exits, haze; shutter and
        sync.</p>`}<p class="none">Planning hints: the venue, local codes and licensed people decide.${
    (p.state?.setups.length ?? 0) > 1 ? " The other setups have their own checks." : ""}</p></div>`;
}

export function textHead(p: Page): Markup {
  const s = p.state;
  const n = (s?.messages ?? []).filter((x) => x.severity === "error").length;
  const word = s?.draft
    ? `has ${n === 1 ? "an error" : `${n} errors`}: kept as a draft, the last good text stays in force` : p.textDirty
    ? "sending" : s?.demonstration ? "the demonstration lives in memory" : s?.saved ? "saved" : "not yet on disk";
  return m`<h2>${s?.file ?? "shoot.yaml"}</h2><p role="status">${word}</p>`;
}
