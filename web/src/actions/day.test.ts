import assert from "node:assert/strict";
import { test } from "node:test";
import type { Edit } from "../model/wire.ts";
import { DayHand } from "./day.ts";
import type { Desk } from "./desk.ts";

const task = (id: string, start: number, more: object = {}) => ({ id, text: id, people: ["first"], sitter: false,
  start_seconds: start, takes_seconds: 600, slack_seconds: 300, picture: false, locked: false, ...more });
const plan = (more: object = {}) => ({ revision: 7, date: "2020-01-01", seen: [], past: [], locks: [], kit: [
  { name: "battery head 200", out: false, back: false }], kit_says: "", ...more, day: { people: ["first", "second"],
  out: "18:00", give_up_first: [], tasks: [task("rig key", 36000),
    task("A: shoot", 37000, { picture: true, setup: "A" }),
    task("B: shoot", 39000, { picture: true, setup: "B" })] } });

/** A desk that keeps what it is told, before a program that answers with one plan. */
function desk(more: object = {}, answer: (path: string, body: unknown) => [number, unknown] = () => [200, plan()]) {
  const page: Record<string, unknown> = { pane: "day", day: plan(), dayNow: "before", dayTask: "rig key", link: "live",
    paperSize: "a4", paperMade: null, state: { good_revision: 7, setups: [{ name: "A" }, { name: "B" }] }, ...more };
  const edits: [string, Edit[]][] = [], asked: [string, unknown][] = [], said: string[] = [];
  const d = { store: { page, set: (x: object) => Object.assign(page, x) }, say: (e: unknown) => said.push(String(e)),
    showSetup: (i: number) => { page["shown"] = i; }, live: { remembered: () => undefined },
    editor: { edit: (w: string, e: Edit[]) => { edits.push([w, e]); } } };
  globalThis.fetch = (async (path: string, init?: RequestInit) => {
    const body: unknown = init?.body ? JSON.parse(String(init.body)) : undefined;
    asked.push([path, body]);
    const [status, data] = answer(path, body);
    return { status, text: async () => JSON.stringify(data) };
  }) as unknown as typeof fetch;
  return { hand: new DayHand(d as unknown as Desk), page, edits, asked, said };
}

const settled = () => new Promise((done) => setTimeout(done, 5));

test("the day is asked for where it is of another text, and once only", async () => {
  const { hand, asked, page } = desk({ day: null });
  hand.follow();
  await settled();
  assert.deepEqual(asked.map((a) => a[0]), ["/api/day?quick=1", "/api/day"], "the plan, then what takes longer");
  assert.equal(page["dayBusy"], "");
  hand.follow();
  await settled();
  assert.equal(asked.length, 2, "it is of this text");
});

test("a time of day is read, or said to be none", async () => {
  const { hand, page, asked } = desk();
  hand.typed("17:05");
  assert.equal(page["dayNow"], 17 * 3600 + 300);
  await settled();
  assert.equal(asked[0]?.[0], `/api/day?quick=1&now=${17 * 3600 + 300}`);
  hand.typed("soon");
  assert.match(String(page["toast"]), /no time of day/);
  hand.typed(" ");
  assert.equal(page["dayNow"], "before");
  assert.equal(hand.now(), 0);
});

test("late wants a time first; then the program is told and the plan asked for anew", async () => {
  const { hand, page, asked } = desk();
  await hand.late();
  assert.match(String(page["toast"]), /Say what time it is first/);
  assert.equal(asked.length, 0);
  page["dayNow"] = 40000;
  await hand.late();
  assert.deepEqual(asked[0], ["/api/day", { what: "late", name: "", at: 40000 }]);
});

test("what is done is told with its time: of the plan before the day, of the clock on it", async () => {
  const { hand, page, asked } = desk();
  await hand.happened("done");
  assert.deepEqual(asked[0], ["/api/day", { what: "done", name: "rig key", at: 36600 }]);
  page["dayNow"] = 36100;
  await hand.happened("begun");
  assert.deepEqual(asked.find((a) => (a[1] as { what?: string } | undefined)?.what === "begun"),
    ["/api/day", { what: "begun", name: "rig key", at: 36100 }]);
});

test("a tick of the kit is there at once, and goes back where the program did not take it", async () => {
  const { hand, page, said } = desk({}, (path) => (path === "/api/day" ?
    [500, { error: "the disk is full" }] : [200, plan()]));
  const done = hand.kit("out", "battery head 200");
  assert.equal((page["day"] as { kit: { out: boolean }[] }).kit[0]?.out, true);
  await done;
  assert.match(said.join(), /the disk is full/);
});

test("a held task is a line of the file, and goes with the last of them", () => {
  const { hand, page, edits } = desk();
  hand.lock("rig key", "10:00", null);
  assert.deepEqual(edits[0], ["hold rig key", [{ set: "day.locks", value: '[{task: "rig key", at: "10:00"}]' }]]);
  page["day"] = plan({ locks: [{ task: "Rig key", path: "day.locks[0]", at: "10:00", by: ["second"] }] });
  hand.lock("rig key", "10:15", null);
  assert.deepEqual(edits[1]?.[1], [{ set: "day.locks[0].at", value: '"10:15"' },
    { set: "day.locks[0].by", value: '["second"]' }]);
  hand.unlock("rig key");
  assert.deepEqual(edits[2]?.[1], [{ delete: "day.locks" }]);
});

test("a task put into another lane is another person's; a picture put before another changes their order", () => {
  const { hand, edits } = desk();
  hand.put("rig key", 36600, "second", "first");
  assert.deepEqual(edits[0]?.[1], [{ set: "day.locks", value: '[{task: "rig key", at: "10:10", by: ["second"]}]' }]);
  hand.put("B: shoot", 36000, "");
  assert.deepEqual(edits[1], ["shoot B, A", [{ set: "day.order", value: '["B", "A"]' }]]);
  hand.nudge(5);
  assert.deepEqual(edits[2]?.[1], [{ set: "day.locks", value: '[{task: "rig key", at: "10:05"}]' }]);
  hand.toggleLock();
  assert.equal(edits[3]?.[0], "hold rig key");
  hand.freeOrder();
  assert.deepEqual(edits[4]?.[1], [{ delete: "day.order" }]);
});

test("a paper that cannot be made is said, one that is stale is not", async () => {
  const { hand, page, said } = desk({}, (path) => (path.includes("call") ? [409, { error: "the shoot changed" }] :
    path.includes("risk") ? [500, { error: "no font" }] : [200, { pages: 2 }]));
  await hand.paper("run-sheet");
  assert.deepEqual(page["paperMade"], { pages: 2 });
  assert.equal(page["paperDone"], -1);
  await hand.paper("call-sheet");
  assert.equal(said.length, 0);
  await hand.paper("risk-notes");
  assert.match(said.join(), /no font/);
  await hand.print();
  assert.match(String(page["toast"]), /no page to print/);
});

test("a finding leads to the light that it is about", () => {
  const { hand, page } = desk();
  hand.show("setups[1].lights[2].at", true);
  assert.equal(page["shown"], 1);
  assert.equal(page["light"], "setups[1].lights[2]");
  assert.equal(page["large"], "plan");
});
