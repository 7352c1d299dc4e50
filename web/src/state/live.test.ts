import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import type { ReadingsView, SetupView, State } from "../model/wire.ts";
import { Live } from "./live.ts";
import { startPage, type Page, type Store } from "./store.ts";

// The program: what it answers by path, and its events. Delays of the page are over when due() is called.
let late: (() => void)[] = [];
const due = (): void => { const now = late; late = []; for (const f of now) f(); };
class Events {
  static last: Events;
  onopen: () => void = () => undefined;
  onerror: () => void = () => undefined;
  closed = false;
  private readonly heard = new Map<string, (e: { data: string }) => void>();
  constructor(readonly url: string) { Events.last = this; }
  addEventListener(kind: string, f: (e: { data: string }) => void): void { this.heard.set(kind, f); }
  close(): void { this.closed = true; }
  say(kind: string, e: object | string): void {
    this.heard.get(kind)?.({ data: typeof e === "string" ? e : JSON.stringify(e) });
  }
}
const page0 = { hidden: false, shown: (): void => undefined };
for (const [name, value] of Object.entries({
  window: { setTimeout: (f: () => void): number => late.push(f) },
  document: { get hidden(): boolean { return page0.hidden; },
    addEventListener: (_: string, f: () => void): void => { page0.shown = f; } },
  EventSource: Events,
  localStorage: { getItem: () => null, setItem: () => undefined, removeItem: () => undefined },
})) Object.defineProperty(globalThis, name, { configurable: true, value });

let program: Record<string, unknown> = {};
const asked: string[] = [];
globalThis.fetch = (async (url: string) => {
  asked.push(url);
  const a = program[url.split("?")[0] ?? ""];
  if (a === undefined) return new Response(JSON.stringify({ error: "not here" }), { status: 404 });
  if (typeof a === "number") return new Response(JSON.stringify({ error: `refused ${a}` }), { status: a });
  return new Response(JSON.stringify(a));
}) as unknown as typeof fetch;

const state = (revision: number, more: object = {}): State => ({ run: "r", revision, good_revision: revision, step: 0,
  file: "shoot.yaml", setups: [{ name: "Aisle" }, { name: "Window" }], house: { lengths: "metres" }, saved: true,
  messages: [], ...more }) as unknown as State;
const view = (revision: number, more: object = {}): SetupView => ({ index: 0, name: "Aisle", revision, built: true,
  camera: null, lights: [], panels: [], objects: [], room: {}, hours: null,
  points: [{ name: "face", at: [0, 0, 1] }, { name: "wall", at: [1, 0, 1] }], look: [],
  ...more }) as unknown as SetupView;
const readings = (revision: number): ReadingsView =>
  ({ index: 0, revision, points: [{ name: "face", stops: 0 }] }) as unknown as ReadingsView;

function open(): { page: Page; live: Live } {
  const page = startPage(), store = { page, set: (x: object) => Object.assign(page, x) } as unknown as Store;
  return { page, live: new Live(store) };
}
async function quiet(): Promise<void> { for (let k = 0; k < 30; k++) await new Promise((done) => setImmediate(done)); }

beforeEach(() => {
  late = [];
  asked.length = 0;
  page0.hidden = false;
  program = { "/api/state": state(1), "/api/setup/0": view(1), "/api/setup/0/readings": readings(1),
    "/api/kit": { heads: [] } };
});

test("a page that opens has state, setup, readings and kit", async () => {
  const { page, live } = open();
  live.start();
  Events.last.onopen();
  await quiet();
  assert.equal(page.link, "live");
  assert.equal(page.state?.revision, 1);
  assert.equal(page.view?.name, "Aisle");
  assert.equal(page.readings?.revision, 1);
  assert.ok(page.kit);
  assert.deepEqual(page.numbers.length, 2);
});

test("an older answer is not taken; a program started anew counts anew", async () => {
  const { page, live } = open();
  live.take(state(5));
  await quiet();
  live.take(state(4));
  assert.equal(page.state?.revision, 5);
  live.take(state(1, { run: "another" }));
  assert.equal(page.state?.revision, 1);
  assert.equal(page.readings, null);
});

test("a setup that is gone leaves the last; a plan with mistakes only shows its text", async () => {
  const { page, live } = open();
  page.setup = 4;
  live.take(state(1));
  assert.equal(page.setup, 1);
  live.take(state(2, { good_revision: 0, draft: true }));
  assert.equal(page.pane, "text");
  await quiet();
});

test("the house's lengths are the page's, until this device chose", async () => {
  const { page, live } = open();
  live.take(state(1, { house: { lengths: "feet" } }));
  assert.equal(page.units.lengths, "feet");
  page.chosen = true;
  page.units = { ...page.units, lengths: "metres" };
  live.take(state(2, { house: { lengths: "feet" } }));
  assert.equal(page.units.lengths, "metres");
  assert.equal(page.state?.house.lengths, "metres");
  await quiet();
});

test("readings come by event, whole or as the difference to the ones before", async () => {
  const { page, live } = open();
  live.start();
  Events.last.onopen();
  await quiet();
  Events.last.say("readings", { index: 0, readings: readings(2), view: view(1) });
  assert.equal(page.readings?.revision, 2);
  Events.last.say("readings", { index: 0, readings: readings(1) });
  assert.equal(page.readings?.revision, 2, "older ones are not taken");
  Events.last.say("readings", { index: 1, readings: readings(9) });
  assert.equal(page.readings?.revision, 2, "nor another setup's");
  let done = false;
  void live.readingsOf(3).then(() => { done = true; });
  Events.last.say("readings", { index: 0, readings: readings(3) });
  await quiet();
  assert.ok(done, "who waits for a revision is told when it is there");
  asked.length = 0;
  Events.last.say("readings", { index: 0 });
  await quiet();
  assert.ok(asked.includes("/api/setup/0/readings"), "an event without them has them asked for");
  Events.last.say("readings", "{broken");
});

test("events of state, progress, day and faults reach the page", async () => {
  const { page, live } = open();
  live.start();
  Events.last.onopen();
  await quiet();
  program["/api/state"] = state(2);
  page.pending = true;
  Events.last.say("state", { what: "kit" });
  Events.last.say("state", {});
  due();
  assert.equal(page.state?.revision, 1, "while a change is on its way its answer brings the state");
  page.pending = false;
  due();
  await quiet();
  assert.equal(page.state?.revision, 2);
  page.searching = 0;
  Events.last.say("progress", { what: "ways", index: 0, done: 0.5 });
  assert.equal(page.searching, 0.5);
  page.paperDone = 0;
  Events.last.say("progress", { what: "papers", done: 3 });
  assert.equal(page.paperDone, 3);
  page.day = { revision: 7 } as unknown as Page["day"];
  Events.last.say("day", {});
  assert.equal(page.day?.revision, -1);
  Events.last.say("message", { what: "fault", index: 0, text: "it broke" });
  assert.equal(page.fault, "it broke");
  Events.last.say("message", { index: -1, text: "the disk is full" });
  assert.equal(page.toast, "the disk is full");
});

test("a link is lost when it does not come back within a moment; a page that nobody sees holds none", () => {
  const { page, live } = open();
  live.start();
  Events.last.onopen();
  const first = Events.last;
  first.onerror();
  assert.equal(page.link, "live");
  due();
  assert.equal(page.link, "lost");
  Events.last = first;
  page0.hidden = true;
  page0.shown();
  due();
  page0.hidden = false;
  page0.shown();
  assert.notEqual(Events.last, first);
  assert.ok(first.closed);
});

test("the hour is asked for; a refusal is said", async () => {
  const { page, live } = open();
  live.take(state(1));
  await quiet();
  page.hour = 600;
  program["/api/setup/0/hour"] = state(2);
  program["/api/setup/0/readings"] = readings(2);
  await live.hour();
  assert.equal(page.state?.revision, 2);
  await quiet();
  page.hour = 700;
  program["/api/setup/0/hour"] = 422;
  await live.hour();
  assert.equal(page.toast, "refused 422");
});

test("what was selected stays selected, by its name", async () => {
  const { page, live } = open();
  live.take(state(1));
  await quiet();
  page.point = 1;
  program["/api/setup/0"] = view(2, { points: [{ name: "wall", at: [1, 0, 1] }, { name: "face", at: [0, 0, 1] }] });
  live.take(state(2));
  await quiet();
  assert.equal(page.view?.points[page.point]?.name, "wall");
});

test("another setup without a camera has no picture to lie beside", async () => {
  const { page, live } = open();
  program["/api/setup/1"] = view(1, { index: 1, name: "Window" });
  await live.fetchOther(1);
  assert.match(page.toast, /no picture of Window/);
  assert.equal(page.compare, null);
});
