// The desk's screen for networked heads: what would change, then sent for a stated time.
import { m, type Markup } from "../src/units/markup.ts";
import { left } from "./figures.ts";
import type { State } from "./screens.ts";
import type { SendAsk, SendHead, SendView, View } from "./wire.ts";

export const sending = { view: null as SendView | null, said: "", setup: "", to: "", minutes: "10", fade: "3",
  end: "hold" as SendAsk["end"], live: false, only: true, multicast: false, over: false, priority: 100 };

/** The largest change of a slot that is sent unasked, %. */
const limit = 50;

/** Asks the desk's API, which only this machine reaches. */
export async function askSend(path = "", body?: unknown): Promise<void> {
  try {
    const r = await fetch(body === undefined ? `/api/send?setup=${encodeURIComponent(sending.setup)}` :
      "/api/send" + path, { cache: "no-store", ...(body === undefined ? {} : { method: "POST",
        headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) }) });
    const v = await r.json() as SendView & { error?: string };
    if (r.ok) { sending.view = v; if (body !== undefined) sending.said = ""; }
    else sending.said = v.error ?? "it was not done";
  } catch { sending.said = "the program does not answer"; }
}

/** What is asked for, as the fields have it. */
export const asked = (): SendAsk => ({ setup: sending.setup, to: sending.to, minutes: Number(sending.minutes),
  fade: Number(sending.fade), end: sending.end, live: sending.live, multicast: sending.multicast,
  slots_only: sending.only, priority: sending.priority, limit, over: sending.over });

const per = (v: number[]): string => v.map((x) => Math.round(x / 2.55)).join(" ");

const head = (h: SendHead): Markup => m`<div class="th two"><span>${h.light}: ${h.words}</span>
  <b>${h.jump > 0 ? `by ${h.jump} %` : "no change"}</b><small>universe ${h.universe}, from slot ${h.address}:
  ${h.was.length > 0 ? per(h.was) : "not known"} → ${per(h.slots)} %</small></div>`;

const field = (id: "to" | "minutes" | "fade", words: string, hint: string): Markup => m`<label class="words"
  for="send-${id}">${words}</label><div class="in"><input id="send-${id}" data-own="send" data-field="${id}"
  value="${sending[id]}" placeholder="${hint}" autocomplete="off" spellcheck="false"></div>`;

const choice = (name: "live" | "only" | "over", words: string): Markup =>
  m`<button data-act="sendset" data-arg="${name}" aria-pressed="${String(sending[name])}">${words}</button>`;

export function sendScreen(_: State, v: View): Markup {
  const x = sending.view, over = x ? x.heads.filter((h) => h.jump > limit) : [];
  return m`<div class="main"><div class="lst" tabindex="0" role="region" aria-label="networked heads">
<div class="sh"><h2>Send to networked heads</h2><span>ANSI E1.31</span></div><div class="grid2">
  ${v.setups.map((s) => m`<button data-act="sendof" data-arg="${s.name}"
  aria-pressed="${String(s.name === sending.setup)}">${s.name}</button>`)}</div>
${!x ? m`<p class="words">${sending.said ? "" :
  "Working out what each head would be sent."}</p>` : m`${x.sending ? m`<section class="ask"><h2>
  ${x.live ? "Live" : "As a preview"}: ${x.sending}, for ${left((x.until ?? 0) / 1000 - Date.now() / 1000)}</h2>
  ${x.fault ? m`<p>${x.fault}</p>` : ""}<div class="do"><span></span>
  <button class="big" data-act="sendstop">Stop sending</button></div></section>` : ""}
${x.left ? m`<p class="words">${x.left}.</p>` : ""}${x.problem ? m`<p class="words"><b>${x.problem}</b></p>` : m`
<div class="sh"><h2>What changes</h2><span>
  ${x.heads.length} head${x.heads.length === 1 ? "" : "s"}</span></div>${x.heads.map(head)}
${x.unpatched.length > 0 ? m`<p class="words">By hand: ${x.unpatched.join(", ")}.</p>` : ""}
${x.heads.some((h) => h.was.length === 0) ? m`<p class="words">What the heads have now is not known. They are taken
  to be dark: a lit one goes dark first and comes up in the fade. With a fade of 0 it goes there at once.</p>` : ""}
${field("to", "Send to", "192.0.2.10, 192.0.2.11")}${field("minutes", "Armed for, minutes", "10")}
${field("fade", "Fade, seconds", "3")}
<div class="sh"><h2>At the end</h2></div><div class="grid2">${([["hold", "Leave the look"], ["release",
  "Release the heads"], ["fade", "Fade out"]] as const).map(([k, w]) => m`<button data-act="sendend" data-arg="${k}"
  aria-pressed="${String(sending.end === k)}">${w}</button>`)}</div>
<div class="grid2">${choice("live", "Live, not a preview")}${choice("only", "Claim these slots only")}
  ${over.length > 0 ? choice("over", `Over ${limit} % is meant`) : ""}</div>
<p class="words">Strobe, haze and movement are never driven. If this program ends or the link is lost, heads as a rule
  keep the last look. Tell whoever stands by a light before you send.</p>
<div class="in"><button class="big" data-act="sendarm">${x.sending ? "Send this instead" : "Arm and send"}</button>
  </div>`}`}
<p class="words" role="alert">${sending.said}</p></div>
<nav class="act one"><button data-act="more">Back</button></nav></div>`;
}
