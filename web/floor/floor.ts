// The floor page: one hand, in the dark, with a link that drops.
import { put } from "../src/draw/morph.ts";
import { m } from "../src/units/markup.ts";
import { fOf, keysOf, stops } from "./figures.ts";
import { frames, whenDrawn } from "./frames.ts";
import { ask, desk, forget, next, pair, paired, Refused } from "./link.ts";
import { Outbox } from "./queue.ts";
import { expected, main, more, nextTask, overdue, pad, pairing, plan, toast, top, type State } from "./screens.ts";
import { asked, askSend, sending as heads, sendScreen } from "./send.ts";
import { desk as shareDesk, shareScreen, sharing } from "./share.ts";
import type { Entry, Taken } from "./wire.ts";

const page = document.getElementById("page")!, status = document.getElementById("say")!;
const s: State = {
  view: null, got: 0, heard: performance.now(), wrong: "", lost: "", screen: paired() ? "main" : "pair",
    mine: localStorage.getItem("mine") ?? "", people: localStorage.getItem("people") === "1",
  waiting: [], point: "", key: 4, tenths: 0, alone: "", toast: null, code: "", busy: false, typed: "", frame: "",
  mark: "",
};
document.documentElement.dataset["theme"] = localStorage.getItem("theme") ?? "booth";

let outbox: Outbox | null = null, sent = 0, sending = false, toastClock = 0;

const fromHash = (): void => {
  if (desk && location.hash === "#more") s.screen = "more";
  const code = /[#&]pair=([A-Za-z0-9]+)/.exec(location.hash)?.[1];
  if (code === undefined) return;
  history.replaceState(null, "", location.pathname); // a code stays in no history
  s.code = code;
  if (!desk) { s.screen = "pair"; }
};

function draw(): void {
  s.waiting = outbox?.list() ?? [];
  const v = s.view;
  put(page, m`${top(s)}${s.screen === "pair" ? pairing(s) : !v ? m`<p class="words">
    ${s.lost || "Looking for the program…"}
    </p>` : s.screen === "pad" ? pad(s, v) : s.screen === "plan" ? plan(s, v) :
    s.screen === "frames" ? frames(s, v) : s.screen === "send" ? sendScreen(s, v) : s.screen === "more" ?
      more(s, v, desk ? shareScreen(s.people) : m``) :
    main(s, v)}${toast(s)}`);
  page.dataset["screen"] = s.screen;
  page.dataset["link"] = s.lost ? "lost" : v ? "live" : "none";
  page.dataset["waiting"] = String(s.waiting.length);
  page.dataset["readings"] = v?.proposal && !v.proposal.old ? String(v.proposal.from) : ""; // worked in
  page.dataset["version"] = String(v?.version ?? 0);
}

function tell(text: string, undo?: number): void {
  s.toast = { text, ...(undo ? { undo } : {}) };
  status.textContent = text;
  clearTimeout(toastClock);
  toastClock = window.setTimeout(() => { s.toast = null; draw(); }, 6000);
  draw();
}

/** Keeps what was said on the phone, then sends it. */
function said(e: Omit<Entry, "number" | "said">, words?: string): void {
  if (!outbox) return;
  let number: number;
  try { number = outbox.add(e, Date.now());
    } catch { tell("This phone keeps nothing (its storage is full or closed): it is not said"); return; }
  navigator.vibrate?.(10);
  if (words) tell(words, number); else draw();
  void send();
}

async function send(): Promise<void> {
  if (sending || !outbox) return;
  sending = true;
  try {
    for (let list = outbox.list(); list.length > 0; list = outbox.list()) {
      const some = list.slice(0, 50);
      sent = Math.max(sent, some.at(-1)!.number);
      const t = await ask<Taken>("POST", "/say", { sent: Date.now(), entries: some });
      outbox.taken(t.upto);
      for (const r of t.refused) tell("Not taken: " + r.why);
      if (t.upto < some[0]!.number) break;
    }
    s.heard = performance.now();
    s.lost = ""; // it was taken, so there is a link again
  } catch (e) {
    if (e instanceof Refused && e.status === 409 && s.view) { s.view = null;
      } // numbers: the next view says where to go on
    else if (e instanceof Refused && e.status === 401) unpaired(e.message);
    else if (e instanceof Refused) tell(e.message);
  } finally { sending = false; draw(); }
}

function unpaired(why: string): void {
  if (desk) return;
  forget();
  Object.assign(s, { view: null, screen: "pair", wrong: why, lost: "" });
  draw();
}

const pause = (ms: number): Promise<void> => new Promise((r) => setTimeout(r, ms));

/** Follows the program for as long as the page lives. */
async function follow(): Promise<void> {
  for (let wait = 400; ; ) {
    if (s.screen === "pair" && !desk) { await pause(300); continue; }
    try {
      const v = await next(s.view);
      const first = s.view === null;
      s.view = v;
      s.got = s.heard = performance.now();
      s.lost = "";
      wait = 400;
      if (!outbox) outbox = new Outbox("outbox." + v.me.id);
      if (first) outbox.follow(v.me.next);
      if (!v.points.some((p) => p.name === s.point)) choose(v.proposal?.point ?? v.points[0]?.name ?? "");
      draw();
      if (s.waiting.length > 0) void send();
    } catch (e) {
      if (e instanceof Refused && e.status === 401) { unpaired(e.message); continue; }
      s.lost = e instanceof Refused ? e.message : "no link to the desk";
      draw();
      await pause(wait);
      wait = Math.min(4000, wait * 1.6);
    }
  }
}

/** Chooses what is to be read; the keys stand at what is predicted of it. */
function choose(name: string, alone = ""): void {
  s.point = name;
  s.alone = alone;
  const p = s.view?.points.find((x) => x.name === name), f = p ? expected(p, alone) : 0;
  if (f > 0) [s.key, s.tenths] = keysOf(f);
}

async function lead(path: string, body: unknown, words: string): Promise<void> {
  try { await ask("POST", path, body); tell(words); } catch (e) { tell(e instanceof Refused ?
    e.message : "There is no link: this needs one. Try again when it is back"); }
}

const setShare = (path: string, body?: unknown): void => {
  void shareDesk(body === undefined ? "GET" : "POST", path, body).then(draw);
};

const value = (id: string): string => (document.getElementById(id) as HTMLInputElement | null)?.value.trim() ?? "";

const acts: Record<string, (arg: string, e: HTMLElement, ev?: MouseEvent) => void> = {
  main: () => { s.screen = "main"; },
  plan: () => { s.screen = "plan"; },
  more: () => { s.screen = s.screen === "more" ? "main" : s.screen === "pair" ? "pair" : "more"; },
  send: () => { const v = s.view; s.screen = "send"; heads.setup ||= v?.setups[Math.max(0, v.setup)]?.name ?? "";
    void askSend().then(draw); },
  sendof: (a) => { heads.setup = a; heads.over = false; void askSend().then(draw); },
  sendend: (a) => { heads.end = a as typeof heads.end; },
  sendset: (a) => { const k = a as "live" | "only" | "over"; heads[k] = !heads[k]; },
  sendarm: () => void askSend("", asked()).then(draw),
  sendstop: () => void askSend("/stop", { setup: heads.setup }).then(draw),
  frames: () => { s.screen = "frames"; s.frame = ""; },
  frame: (a) => { if (a) s.frame = a; },
  assign: (a) => { const f = s.view?.frames.find((x) => x.id === s.frame) ?? s.view?.frames[0];
    if (f) void lead("/assign", { frame: f.id, setup: a }, `${f.name} is of ${a}`); },
  stopframe: (a) => { const f = s.view?.frames.find((x) => x.id === s.frame) ?? s.view?.frames[0];
    if (f) void lead("/stopframe", { frame: f.id, on: a === "on" }, a === "on" ? "It goes on" : "It is stopped"); },
  markof: (a) => { s.mark = s.mark === a ? "" : a; if (s.mark) tell(`Press where ${a} lies in the photograph`); },
  mark: (_, e, ev) => {
    const f = s.view?.frames.find((x) => x.id === s.frame) ?? s.view?.frames[0], r = e.getBoundingClientRect();
    if (!f || !s.mark || !ev) return;
    if (ev.detail === 0) { tell("A key says no place: press it with a finger or a pointer"); return; }
    const point = s.mark;
    s.mark = "";
    void lead("/mark", { frame: f.id, point, x: (ev.clientX - r.x) / r.width, y: (ev.clientY - r.y) / r.height },
      `${point} is marked: this frame and later ones are placed by it`);
  },
  behind: () => { const n = Number(value("behind").replace("−", "-"));
    if (value("behind") === "" || !Number.isFinite(n)) tell("Give minutes, like 62, or −3");
    else void lead("/camera", { behind: Math.round(n * 60) }, "The camera’s clock is set right"); },
  folder: () => setShare("/frames", { folder: value("folder") }),
  help: () => { s.screen = "more"; },
  pad: () => { s.screen = "pad"; const p = s.view?.proposal; if (p?.point && p.from === 0) choose(p.point, p.alone);
    else choose(s.point); },
  readnext: () => { const p = s.view?.proposal; if (p?.point) { s.screen = "pad"; choose(p.point, p.alone); } },
  step: (_, e) => { const v = s.view; if (!v) return; const n = v.points.length, i = v.points.findIndex((p) =>
    p.name === s.point); choose(v.points[(i + Number(e.dataset["by"]) + n) % n]!.name); },
  key: (a) => { s.key = Number(a); },
  tenth: (a) => { s.tenths = Number(a); },
  alone: (a) => { // a figure that was keyed in stays
    const p = s.view?.points.find((x) => x.name === s.point), f = p ? expected(p, s.alone) : 0, [k, t] = keysOf(f);
    if (f > 0 && k === s.key && t === s.tenths) choose(s.point, a); else s.alone = a;
  },
  keep: () => {
    const v = s.view, on = v?.setups[v.setup];
    if (!on) return;
    said({ kind: "reading", setup: on.name, subject: s.point, value: fOf(s.key, s.tenths), unit: "f", ...(s.alone ?
      { alone: s.alone } : {}) }, `Kept: ${s.people ? "" : s.point + " "}f/${stops[s.key]} and ${s.tenths} tenths`);
    s.screen = "main";
  },
  tick: (a) => said({ kind: "tick", subject: a, setup: nextTask(s)?.setup ?? "" },
    "Done: " + (s.view?.tasks.find((t) => t.id === a)?.text ?? a)),
  dial: (a) => {
    const v = s.view, d = v?.dials.find((x) => x.light === a), on = v?.setups[v.setup];
    if (!d || !on) return;
    if (d.set) { said({ kind: "reversal", seq: d.set.seq }, `${d.light} is not set`); return; }
    const mine = s.waiting.find((e) => e.kind === "dial" && e.subject === a && e.text === d.want);
    if (mine) back(mine.number); else said({ kind: "dial", setup: on.name, subject: a, text: d.want },
      `${a} set to ${d.want}`);
  },
  upto: () => {
    const v = s.view, list = overdue(s);
    if (!outbox || !v || list.length === 0) return;
    for (const t of list) outbox.add({ kind: "tick", subject: t.id, setup: t.setup ?? "" }, Date.now());
    tell(`${list.length} ticked`);
    void send();
  },
  undo: (a) => { s.toast = null; back(Number(a)); },
  reverse: (a) => said({ kind: "reversal", seq: Number(a) }, "Struck; it stays in the log as struck"),
  answer: (a) => said({ kind: "tick", subject: "call " + a }, "They see that you come"),
  seen: () => { if (s.view) void lead("/seen", { plan: s.view.plan.number }, "Noted"); },
  take: (a) => { const p = s.view?.proposal; if (p) void lead("/accept", { id: p.id, lights: [a] },
    `${a}: on its way to who sets it`); },
  takeall: () => { const p = s.view?.proposal; if (p) void lead("/accept", { id: p.id, lights: p.dials.map((d) =>
    d.light) }, "On their way to who sets them"); },
  call: (a) => said({ kind: "note", text: a, call: true }, "Asked: " + a),
  callfor: () => { const t = value("callfor");
    if (t) { (document.getElementById("callfor") as HTMLInputElement).value = ""; said({ kind: "note", text: t,
    call: true }, "Asked: " + t); } },
  late: (a) => said({ kind: "late", value: Number(a), unit: "min" }, a === "0" ?
    "Not late" : a + " minutes late, said to all"),
  replan: () => void lead("/replan", { why: value("why") }, "Planning the day again; all phones will show it"),
  mine: (a) => { s.mine = a; localStorage.setItem("mine", a); },
  people: () => {
    s.toast = null; // it may say a name
    status.textContent = "";
    s.people = !s.people;
    localStorage.setItem("people", s.people ? "1" : "");
  },
  theme: () => { const t = document.documentElement.dataset["theme"] === "paper" ? "booth" : "paper";
    document.documentElement.dataset["theme"] = t; localStorage.setItem("theme", t); },
  pair: () => void pairNow(),
  share: (a) => { sharing.code = null; setShare("", { on: a !== "off", plain: a === "plain" }); },
  code: (a) => setShare("/code", { role: a }),
  revoke: (a) => setShare("/revoke", { id: a }),
};

/** Takes back what was said: before it was sent it was never said, later another entry strikes it. */
function back(number: number): void {
  if (!outbox) return;
  if (outbox.drop(number, sent)) { tell("Taken back"); return; }
  said({ kind: "reversal", undo: number }, "Taken back; it stays in the log as struck");
}

async function pairNow(): Promise<void> {
  if (s.busy) return;
  s.busy = true;
  s.wrong = "";
  s.code = value("code");
  const name = value("name");
  draw();
  try {
    await pair(s.code, name);
    outbox = null;
    Object.assign(s, { screen: "main", code: "", view: null });
  } catch (e) { s.wrong = e instanceof Refused ? e.message
    : "No link to the desk: is this phone in the same network?"; }
  s.busy = false;
  draw();
}

page.addEventListener("click", (ev) => {
  const e = (ev.target as Element).closest<HTMLElement>("[data-act]");
  if (!e || (e as HTMLButtonElement).disabled) return;
  acts[e.dataset["act"]!]?.(e.dataset["arg"] ?? "", e, ev);
  draw();
});
page.addEventListener("input", (ev) => {
  const e = ev.target, k = e instanceof HTMLInputElement ? e.dataset["field"] : undefined;
  if (k === "to" || k === "minutes" || k === "fade") heads[k] = (e as HTMLInputElement).value.trim();
});
page.addEventListener("keydown", (ev) => {
  if (ev.key !== "Enter" || !(ev.target instanceof HTMLInputElement)) return;
  const act = { code: "pair", name: "pair", callfor: "callfor", why: "replan", behind: "behind",
    folder: "folder" }[ev.target.id];
  if (act) { acts[act]!("", ev.target); draw(); }
});

/** The screen stays awake where the browser allows it; it forgets that each time the page is hidden. */
const awake = (): void => { void navigator.wakeLock?.request("screen").catch(() => undefined); };
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") { awake();
  draw(); void send(); } });
page.addEventListener("pointerdown", awake, { once: true });
window.addEventListener("online", () => void send());
window.addEventListener("hashchange", () => { fromHash(); draw(); });

fromHash();
awake();
draw();
setInterval(draw, 1000);
if (desk) setInterval(() => { if (s.screen === "send") void askSend().then(draw); }, 1500);
if (desk) { setShare(""); setInterval(() => { if (s.screen === "more") setShare(""); }, 3000); }
setInterval(() => { if ((outbox?.list().length ?? 0) > 0) void send(); }, 3000);
whenDrawn(draw);
void follow();
