// The desk's own screen: who may come in. Phones never see it, and the program refuses it to them.
import { m, type Markup } from "../src/units/markup.ts";
import { age } from "./figures.ts";
import type { CodeView, ShareView } from "./wire.ts";

export interface Sharing { view: ShareView | null; code: CodeView | null; said: string }
export const sharing: Sharing = { view: null, code: null, said: "" };

/** Asks the desk's API, which only this machine reaches. */
export async function desk(method: "GET" | "POST", path: string, body?: unknown): Promise<void> {
  try {
    const r = await fetch("/api/share" + path, { method, cache: "no-store",
      ...(body === undefined ? {} : { headers: { "Content-Type": "application/json" },
        body: JSON.stringify(body) }) });
    const v = await r.json() as ShareView & CodeView & { error?: string };
    sharing.said = r.ok ? "" : v.error ?? "it was not done";
    if (r.ok && path === "/code") sharing.code = v;
    else if (r.ok) sharing.view = v;
  } catch { sharing.said = "the program does not answer"; }
}

/** The folder of test frames: the desk's choice, a phone names no path of this machine. */
const folder = (v: ShareView): Markup => m`<div class="sh"><h2>Folder of test frames</h2>
  <span>${v.frames || "none"}</span></div><div class="in">
  <input id="folder" data-own="folder" placeholder="full path; empty: none"
    aria-label="folder to watch for test frames" autocomplete="off" spellcheck="false">
  <button class="out" data-act="folder">Watch</button></div>
  <p class="words">Photographs that come there are held against their prediction. Nothing is written there.</p>`;

/** people: a sitter can see the screen, so no address, code, name or folder is on it. */
export function shareScreen(people: boolean): Markup {
  return m`${sharing.view && !people ? folder(sharing.view) : ""}<div class="sh"><h2>Networked heads</h2></div>
    <div class="in"><button class="out" data-act="send">Show what to send</button></div>${people ? m`<p class="words">
    Sharing, codes and who is paired: when people mode is off.</p>` : door()}`;
}

function door(): Markup {
  const { view: v, code: c, said } = sharing;
  if (!v) return m`<p class="words">${said || "…"}</p>`;
  if (!v.on) return m`<div class="sh"><h2>Share with phones</h2></div>
    <p class="words">Opens this page, and nothing else of this machine, to phones in the same network,
      encrypted. Each phone
    pairs by a code that works once. It ends with the program.</p>
    <div class="in"><button class="big" data-act="share" data-arg="tls">Share</button>
    <button class="out" data-act="share" data-arg="plain">Share without encryption</button></div>
    <p class="words">Without encryption everybody on the network can read along, and could take a phone's place.</p>
    <p class="words" role="alert">${said}</p>`;
  return m`<div class="sh"><h2>Shared with phones</h2></div><p class="words"><b>${v.url ?? ""}</b><br>${v.lacks ?? ""}
    ${v.fingerprint ? m`A phone's browser warns, because the certificate was made here. Its fingerprint (SHA-256)
    must be <b class="print">${v.fingerprint}</b>` : ""}</p>
    <div class="grid2"><button data-act="code" data-arg="crew">Code for crew</button>
    <button data-act="code" data-arg="lead">Code for a lead</button>
    <button data-act="code" data-arg="look">Code to look only</button>
    <button data-act="share" data-arg="off">Stop sharing</button></div>
    ${c && c.until > Date.now() ? m`<p class="words"><img class="qr" src="${c.qr}" alt="the address with its code">
    <br>Code <b>${c.code.slice(0, 5)} ${c.code.slice(5)}</b>, once, for ${age(c.until - Date.now())}</p>` : ""}
    <p class="words" role="alert">${said}</p><div class="sh"><h2>Paired</h2><span>${v.devices.length}</span></div>
    ${v.devices.map((d) => m`<div class="in" data-key="dev${d.id}"><span class="words">
    <b>${d.name}</b>, ${d.role}, ${age(Date.now() - d.seen)} ago</span>
    <button class="out end" data-act="revoke" data-arg="${d.id}">Take out</button></div>`)}`;
}
