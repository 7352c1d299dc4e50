// The screens of the floor as markup.
import { m, type Markup } from "../src/units/markup.ts";
import { age, between, clock, fn, fOf, left, setting, signed, stops } from "./figures.ts";
import { rung } from "./ladder.ts";
import { drawn } from "./place.ts";
import type { Dial, Entry, Point, Task, View } from "./wire.ts";

/** What the page knows, besides the view. */
export interface State {
  view: View | null;
  got: number; // when the view came, ms of the page
  heard: number; // when the program last answered
  wrong: string; // why pairing failed
  lost: string; // why there is no link; "": there is one
  screen: "main" | "pad" | "plan" | "more" | "frames" | "send" | "pair";
  frame: string; // id of the test frame that is shown, "": the newest
  mark: string; // the point that is being marked in it, "": none
  mine: string; // a person of the plan, or "": all
  people: boolean;
  waiting: Entry[];
  point: string;
  key: number;
  tenths: number;
  alone: string;
  toast: { text: string; undo?: number } | null;
  code: string;
  busy: boolean;
  typed: string;
}

export const may = (s: State, role: "crew" | "lead"): boolean => s.view !== null && (s.view.me.role === "lead" ||
  (role === "crew" && s.view.me.role === "crew"));

/** The program's clock now, seconds since midnight. */
export const now = (s: State): number => (s.view ? s.view.clock + (performance.now() - s.got) / 1000 : 0);

const waits = (s: State, kind: Entry["kind"], subject: string, text?: string): boolean => s.waiting.some((e) =>
  e.kind === kind && e.subject === subject && (text === undefined || e.text === text));

/** What is to be done next by who looks, or by anybody. */
export function nextTask(s: State): Task | undefined {
  return s.view?.tasks.find((t) => !t.done && !waits(s, "tick", t.id) && (s.mine === "" ||
    t.people.includes(s.mine)));
}

const dialSet = (s: State, d: Dial): boolean => d.set !== undefined || waits(s, "dial", d.light, d.want);

const pointName = (s: State, p: Point): string => (s.people ?
  `Point ${(s.view?.points.indexOf(p) ?? 0) + 1}` : p.name);

export function top(s: State): Markup {
  const v = s.view, on = v?.setups[v.setup];
  const name = on?.name ?? (s.people ? undefined : v?.title) ?? "Floor";
  return m`<header class="top${s.lost ? " lost" : ""}"><h1>${name}</h1>
    <span class="who">${s.people ? "" : s.mine || v?.me.name || ""}${s.waiting.length > 0 ?
    m` · ${s.waiting.length} to send` : ""}</span>
<span class="age"><b>${v ? clock(now(s)) : ""}</b>
  ${s.lost ? "no link, " : ""}${v ? age(performance.now() - s.heard) + " old" : s.lost ? "" : "…"}</span>
  ${s.screen === "pair" ? "" : m`<button data-act="more">More</button>`}</header>`;
}

function countdown(s: State, v: View): Markup {
  const on = v.setups[v.setup];
  if (!on || !on.end) return m`<section class="cd"><div class="row"><span>
    ${v.setup < 0 && v.setups.length > 0 ? "All pictures are taken" : v.plan.problem || v.computing ||
    "no plan yet"}</span></div></section>`;
  const t = now(s), l = on.end - t, then = v.setups.filter((x) => x.in && !x.shot && x.begin > on.begin)[0],
    begun = t >= on.begin;
  const share = Math.round(Math.min(100, Math.max(0, (100 * (t - on.begin)) / Math.max(1, on.end - on.begin))));
  const task = v.tasks.find((x) => x.setup === on.name && x.picture), long = Math.abs(begun || l < 0 ?
    l : on.begin - t) >= 3600;
  return m`<section class="cd"><div class="row"><span>
    ${l < 0 ? on.name + " is over by" : begun ? on.name + " ends in" : on.name + " begins in"}</span>
    <span class="end">${clock(begun ? on.end : on.begin)}</span></div>
<div class="t${long ? " long" : ""}" role="timer">${left(begun ? l : on.begin - t)}</div><div class="bar">
  <i data-css="width:${share}%"></i></div>
<div class="row"><span>
  ${s.people || !task ? "" : `Slack ${Math.round(task.slack / 60)} min`}${v.plan.late && !s.people ?
  `, ${Math.abs(v.plan.late)} min ${v.plan.late > 0 ? "behind" : "ahead"}` : ""}</span><span class="end">
  ${then ? `then ${then.name}, ${clock(then.begin)}` : "the last one"}</span></div></section>`;
}

function nextPart(s: State, v: View): Markup {
  const t = nextTask(s);
  if (!t) return m``;
  return m`<section class="next"><div><p>${s.mine ? "Next for you" : "Next"}, ${clock(t.start)} to ${clock(t.end)}
    </p><h2>${t.text}</h2><p>
    ${[s.mine && t.people.length < 2 ? "" : s.people ? "" : t.people.join(" + "),
    t.setup !== v.setups[v.setup]?.name ? `for ${t.setup}` : "", t.caution ?? ""].filter(Boolean).join(". ")}</p>
    </div><button class="big" data-act="tick" data-arg="${t.id}" ${may(s, "crew") ? "" : "disabled"}>Done</button>
    </section>`;
}

function asks(s: State, v: View): Markup {
  const calls = v.calls.filter((c) => !waits(s, "tick", `call ${c.seq}`)).map((c) =>
    m`<section class="ask" data-key="call${c.seq}"><div class="do"><span>
    ${s.people ? "Somebody asks for help" : `${c.who}: ${c.text}`}<small>
    ${age(v.now + performance.now() - s.got - c.at)} ago</small></span>
    <button class="out" data-act="answer" data-arg="${c.seq}" ${may(s, "crew") ? "" : "disabled"}>I go</button>
    </div></section>`);
  const plan = v.plan.number > 0 && v.plan.unseen.includes(v.me.name) ? m`<section class="ask">
    <h2>The day was planned again at ${clock(v.plan.made)}</h2>${s.people ? "" : m`<p>${v.plan.sentence}</p>`}
    <div class="do"><span>
    </span><button class="out" data-act="seen">Seen</button></div></section>` : "";
  const p = s.people ? undefined : v.proposal;
  const dials = p && p.dials.length > 0 ? m`<section class="ask" data-key="proposal">
    <h2>After ${p.from} reading${p.from === 1 ? "" : "s"}: ${p.cost}</h2>${p.old ?
    m`<p>A newer reading is being worked in…</p>` : ""}
${p.dials.map((d) => m`<div class="do"><span>${d.light} to ${setting(d.now)}
  <small>was ${setting(d.was)}, ${signed(d.stops)} st</small></span>
  ${may(s, "lead") ? m`<button class="out" data-act="take" data-arg="${d.light}" ${p.old ?
    "disabled" : ""}>Take</button>` : ""}</div>`)}
${p.then.filter((x) => x.wish || Math.abs(between(x.then, x.now)) >= 0.1).map((x) => m`<div class="th two"><span>
  ${x.name}</span><b>${fn(x.now)} → ${fn(x.then)}</b>${Math.abs(x.off) >= 0.1 && x.wish ?
  m`<small>${signed(x.off)} st from its wish</small>` : ""}</div>`)}${p.short.map((t) => m`<p>${t}.</p>`)}
${may(s, "lead") && p.dials.length > 1 ? m`<div class="do"><span></span>
  <button class="big" data-act="takeall" ${p.old ? "disabled" : ""}>Take all</button></div>` : ""}</section>` : "";
  return m`${calls}${plan}${dials}`;
}

function dialRow(s: State, d: Dial): Markup {
  const set = dialSet(s, d), mine = s.mine !== "" && d.for.includes(s.mine);
  const under = d.fixed ? "" : set ? (d.set ?
    `${s.people ? "set" : d.set.who}, ${age((s.view?.now ?? 0) + performance.now() - s.got - d.set.at)} ago` :
    "set, to be sent") : d.was ? `was ${setting(d.was)}` : d.taken ? "new" : "by the plan";
  return m`<button class="li${mine && !set ? " now" : ""}" role="checkbox"
    aria-checked="${String(set)}" data-act="dial" data-arg="${d.light}"
    data-key="d${d.light}" ${may(s, "crew") && !d.fixed ? "" : "disabled"}>
      <span class="chip" data-css="background:${d.colour}"></span><span><span class="r">${d.light}</span>
      <span class="h">${d.words}</span></span><span class="s">${setting(d.want)}<small>${under}</small></span>
      <span class="tick"></span></button>`;
}

export function main(s: State, v: View): Markup {
  const on = v.setups[v.setup], dials = v.dials.filter((d) => !d.fixed), quiet = !!on && on.end - now(s) < 60 &&
    on.end - now(s) > 0;
  const later = v.tasks.filter((t) => !t.done && !waits(s, "tick", t.id) && (s.mine === "" ||
    t.people.includes(s.mine))).slice(1, 5);
  const next = v.proposal?.next && may(s, "crew") && !s.people ? m`<div class="th go"><span>Read next: <b>
    ${v.proposal.next}</b><br><small>it settles most</small></span><button class="out" data-act="readnext">Read it
    </button></div>` : "";
  const calm = quiet && !v.calls.length;
  return m`<div class="main${quiet ? " quiet" : ""}">${countdown(s, v)}${nextPart(s, v)}
    <div class="lst" tabindex="0" role="region" aria-label="dials and what follows">
    ${calm ? "" : asks(s, v)}${(s.people ? [] : v.troubles).map((t) => m`<section class="ask"><p>${t}</p></section>`)}
<div class="sh"><h2>Dial in</h2><span>${dials.filter((d) => dialSet(s, d)).length} of ${dials.length} set</span>
  </div>${v.dials.filter((d) => !d.fixed).map((d) => dialRow(s, d))}${calm ? "" : m`${next}
${v.changes.length > 0 && !s.people ? m`<div class="sh"><h2>Since settings were taken</h2></div>
  ${v.changes.slice(0, 5).map((c) => m`<div class="th"><b>${age(v.now + performance.now() - s.got - c.at)}</b>
  <span>${setting(c.text)} <small>${c.who}</small></span></div>`)}` : ""}
${later.length > 0 ? m`<div class="sh"><h2>Then</h2></div>${later.map((t) => m`<div class="th"><b>${clock(t.start)}
  </b><span>${t.setup && t.setup !== on?.name ? t.setup + ": " : ""}${t.text}</span></div>`)}` : ""}
${v.cautions.length > 0 ? m`<div class="sh"><h2>Mind</h2></div>${v.cautions.map((c) => m`<div class="th"><span>${c}
  </span></div>`)}` : ""}`}</div>
<nav class="act"><button data-act="plan">Plan</button>
  <button data-act="help" ${may(s, "crew") ? "" : "disabled"}>Help</button>
  <button class="m" data-act="pad" ${may(s, "crew") && v.points.length > 0 ? "" : "disabled"}>Log a reading</button>
  </nav></div>`;
}

/** What a meter is to read at a point with one light on, or all; 0: not known. */
export const expected = (p: Point, alone: string): number => (alone === "" ? p.f : p.f * Math.sqrt(Math.max(0,
  p.lights.find((l) => l.light === alone)?.share ?? 0)));

export function pad(s: State, v: View): Markup {
  const p = v.points.find((x) => x.name === s.point) ?? v.points[0];
  if (!p) return main(s, v);
  const read = fOf(s.key, s.tenths), want = expected(p, s.alone), known = want > 0,
    off = known ? Math.round(between(read, want) * 10) / 10 : 0;
  const mineLast = p.readings.find((r) => r.mine && !r.old), differ = p.differ ? p.readings.filter((r) =>
    !r.old).slice(0, 2) : [];
  const shares = s.alone ? p.lights.filter((l) => l.light === s.alone) : p.lights;
  const doubt = p.readings.find((r) => r.doubt && !r.old)?.doubt;
  return m`<div class="main"><div class="pt"><button data-act="step" data-by="-1">back</button><h2>
    ${pointName(s, p)}<small>${s.people ? "" : (p.wish ?? "")}</small></h2>
    <button data-act="step" data-by="1">next</button></div>
<div class="rd"><div class="a"><div class="pr">
  ${known ? m`${s.alone ? s.alone + " alone, " : ""}predicted ${fn(want)}` : v.computing ?
  `working out ${v.computing}` : s.alone ? `${s.alone} alone` : "no prediction"}</div><div class="fig">
  ${fn(read)}</div><div class="df">
  ${known ? m`${signed(off)}<small>
  ${Math.abs(off) < 0.15 ? "agrees" : off > 0 ? "stop brighter than predicted" : "stop darker than predicted"}
  </small>` : ""}</div></div>${rung(known ? off : 0, shares)}</div>
<div class="why">${differ.length === 2 ?
  m`<b>Two readings, not the same.</b> ${differ.map((r) => m`<div class="both"><span>
  ${fn(r.f)} ${s.people ? "" : r.who + ", "}${age(v.now + performance.now() - s.got - r.at)} ago</span>
  <button class="out" data-act="reverse" data-arg="${r.seq}">Strike</button></div>`)}` : doubt ? m`<b>${doubt}
  </b>` : known && Math.abs(off) > 2 ?
  m`<b>Read again.</b> More than two stops out is usually a head that did not fire, or a meter set otherwise.` :
  mineLast ? m`<div class="both">
  <span>You read ${fn(mineLast.f)} ${age(v.now + performance.now() - s.got - mineLast.at)} ago</span>
  <button class="out" data-act="reverse" data-arg="${mineLast.seq}">Undo</button>
  </div>` : known ? "Keep it: the next settings follow from it." : "Keep it: the program learns from it."}</div>
<div class="alone" role="group" aria-label="which lights are on">
  <button data-act="alone" data-arg="" aria-pressed="${String(s.alone === "")}">All lights</button>
  ${v.dials.filter((d) => !d.fixed).map((d) =>
  m`<button data-act="alone" data-arg="${d.light}" aria-pressed="${String(s.alone === d.light)}">
  ${d.light} alone</button>`)}</div>
<div class="kl">f-number</div><div class="keys" role="group" aria-label="f-number">
  ${stops.map((t, i) => m`<button data-act="key" data-arg="${i}" aria-pressed="${String(i === s.key)}">${t}
  </button>`)}</div>
<div class="kl">tenths</div><div class="keys t" role="group" aria-label="tenths">
  ${[0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map((i) =>
  m`<button data-act="tenth" data-arg="${i}" aria-pressed="${String(i === s.tenths)}">${i}</button>`)}</div>
<nav class="act two"><button data-act="main">Close</button><button class="m" data-act="keep">Keep reading</button>
  </nav></div>`;
}

/** Tasks that were to be over by now and are not ticked. */
export const overdue = (s: State): Task[] => (s.view?.tasks ?? []).filter((t) => !t.done && !t.picture &&
  t.end <= now(s) &&
  !waits(s, "tick", t.id) && (s.mine === "" || t.people.includes(s.mine)));

export function plan(s: State, v: View): Markup {
  const past = overdue(s).length;
  const my = v.tasks.filter((t) => !t.done && (s.mine === "" || t.people.includes(s.mine)));
  return m`<div class="main">${v.place ? m`<div class="plan" tabindex="0" role="region" aria-label="plan">
    ${drawn(v.place, s.mine)}</div>` : m`<p class="words">There is no plan to draw.</p>`}
<div class="lst" tabindex="0" role="region" aria-label="tasks">${s.people ? "" : m`<div class="sh">
  <h2>Whose tasks</h2></div><div class="grid2">
  <button data-act="mine" data-arg="" aria-pressed="${String(s.mine === "")}">All</button>
  ${v.plan.people.map((p) => m`<button data-act="mine" data-arg="${p}" aria-pressed="${String(s.mine === p)}">${p}
  </button>`)}</div>`}
<div class="sh"><h2>${s.mine ? "My tasks" : "Tasks"}</h2><span>${my.length} to do</span></div>
${past > 1 && may(s, "crew") ? m`<div class="in"><button class="out wide" data-act="upto">
  All ${past} that were to end by now are done</button></div>` : ""}
  ${my.slice(0, 30).map((t) => m`<div class="th"><b>${clock(t.start)}</b><span>
  ${t.setup ? t.setup + ": " : ""}${t.text} <small>${s.people ? "" : t.people.join(" + ")}</small></span></div>`)}
  </div>
<nav class="act one"><button data-act="main">Back</button></nav></div>`;
}

export function more(s: State, v: View, share: Markup): Markup {
  const call = ["Hands here", "Sandbag", "Stand or clamp", "Power, cable", "Battery", "Hold somebody up"];
  return m`<div class="main"><div class="lst" tabindex="0" role="region" aria-label="help and more">
${may(s, "crew") ? m`<div class="sh"><h2>Ask for help</h2></div><div class="grid2">
  ${call.map((c) => m`<button data-act="call" data-arg="${c}">${c}</button>`)}</div><div class="in">
  <input id="callfor" data-own="callfor" placeholder="or say what" maxlength="120"
    aria-label="what help is for" enterkeyhint="send">
  <button class="out" data-act="callfor">Ask</button></div>${s.people ? "" : m`
<div class="sh"><h2>How late are we, minutes</h2><span>${v.plan.late ?
  `said: ${v.plan.late} min` : ""}</span></div>
  <div class="grid2 five">
  ${[0, 5, 10, 15, 30].map((n) =>
  m`<button data-act="late" data-arg="${n}" aria-pressed="${String(v.plan.late === n)}">${n === 0 ? "not" : n}
  </button>`)}</div>`}` : ""}
${may(s, "lead") && !s.people ? m`<div class="in">
  <input id="why" data-own="why" placeholder="why" maxlength="120"
    aria-label="why the day is planned again; all see it">
  <button class="out" data-act="replan">Plan again from now</button></div>` : ""}
${v.plan.number > 0 && !s.people ? m`<p class="words"><b>Plan of ${clock(v.plan.made)}
  </b>. Seen by ${v.plan.seen.join(", ") || "nobody yet"}${v.plan.unseen.length > 0 ?
  m`; not yet by ${v.plan.unseen.join(", ")}` : ""}.</p>` : ""}
${s.people ? "" : m`<p class="words">${v.plan.problem ?? v.plan.sentence}</p>`}
${s.people ? "" : m`<div class="sh"><h2>Test frames</h2><span>${v.frames.length > 0 ? `${v.frames.length} came` :
  v.watching ? "none came yet" : "no folder is watched"}</span></div>${v.frames.slice(0, 1).map((f) =>
  m`<p class="words"><b>${f.name}</b>, ${f.setup}: ${f.problem ?? f.text}</p>`)}<div class="in">
  <button class="out" data-act="frames" ${v.frames.length > 0 ? "" : "disabled"}>Show test frames</button></div>`}
${share}<div class="sh"><h2>This phone</h2></div><div class="grid2">
  <button data-act="people" aria-pressed="${String(s.people)}">People mode</button>
  <button data-act="theme">Light or dark</button></div>
<p class="words">People mode shows no names, notes, wishes or lateness, and no code to pair by,
  for when a sitter can see the screen. ${s.waiting.length > 0 ? m`<b>
  ${s.waiting.length} of what you said waits to be sent;
  it is kept on this phone.</b>` : "All that you said is in the log."}</p></div>
<nav class="act one"><button data-act="main">Back</button></nav></div>`;
}

export function pairing(s: State): Markup {
  return m`<div class="main pair"><h2>Pair this phone</h2>
    <p class="words">The desk shows a code, or a square to point the camera at. Each code works once.</p>
<label for="code">Code</label><div class="in">
  <input id="code" data-own="${s.code}" class="code" autocapitalize="characters" autocomplete="off"
    spellcheck="false" value="${s.code}">
  </div>
<label for="name">Your name, as the others see it</label><div class="in">
  <input id="name" data-own="name" maxlength="40" autocomplete="off" enterkeyhint="go"></div>
<div class="in"><button class="big" data-act="pair" ${s.busy ? "disabled" : ""}>Pair</button></div>
  <p class="words" role="alert">${s.wrong}</p></div>`;
}

export const toast = (s: State): Markup => (s.toast ? m`<div class="toast"><span>${s.toast.text}</span>
  ${s.toast.undo ? m`<button data-act="undo" data-arg="${s.toast.undo}">Undo</button>` : ""}</div>` : m``);
