import assert from "node:assert/strict";
import { test } from "node:test";
import { clock, clockRead, span } from "../units/clock.ts";
import { blocksOf, endsOf, lanesOf, orderWith, secondsOf } from "./day.ts";
import type { DayTask, DayView } from "./wire.ts";

const task = (id: string, start: number, minutes: number, picture = false): DayTask => ({
  id, text: id, setup: id.split(":")[0] ?? "", action: "own", begin: "", end: "", start_seconds: start,
    takes_seconds: 60 * minutes, people: ["A"],
  slack_seconds: 0, critical: 0, picture, locked: false, sitter: picture,
});
const view = (tasks: DayTask[]): DayView => ({
  revision: 1, date: "", problem: "", from: "", locks: [], seen: [], past: [], kit: [], kit_says: [], findings: [],
    papers: [], kept: "",
  day: { version: 1, begin: "09:00", end: "", proven: true, bound: "", people: ["A", "B"], setups: [], tasks,
    out_by_9_days_in_10: "", chance_out_in_time: 1, chance_of_all: 1, days_simulated: 1, give_up_first: [],
    sentence: "", messages: [] },
});
const h = 3600;

test("a clock is read as people write it, and nothing else", () => {
  for (const [text, want] of [["17:05", 17 * h + 300], ["17.05", 17 * h + 300], ["1705", 17 * h + 300], ["9",
    9 * h], ["5:40 pm", 17 * h + 2400], ["12:10 am", 600], ["24:00", null], ["9:60", null], ["soon", null], ["",
    null], ["13 pm", null]] as const) assert.equal(clockRead(text), want, text);
  assert.equal(clock(17 * h + 329), "17:05");
  assert.equal(clock(25 * h), "25:00");
  assert.equal(span(-240), "4 min");
  assert.equal(span(7500), "2 h 05");
});

test("a picture dragged past the middle of another changes places with it, else not", () => {
  const b = blocksOf(view([task("One: shoot", 10 * h, 10, true), task("Two: shoot", 11 * h, 10, true),
    task("Three: shoot", 12 * h, 10, true)]));
  assert.equal(orderWith(b, "Two", 10 * h + 400), null);
  assert.deepEqual(orderWith(b, "Two", 10 * h + 200), ["Two", "One", "Three"]);
  assert.deepEqual(orderWith(b, "Three", 9 * h), ["Three", "One", "Two"]);
  assert.deepEqual(orderWith(b, "One", 11 * h), ["Two", "One", "Three"]);
  assert.equal(orderWith(b, "One", 10 * h + 1800), null);
  assert.equal(orderWith(b, "Nobody", 9 * h), null);
});

test("the clock goes round all that is planned; a day past midnight counts on", () => {
  const v = view([task("One: rig", 9 * h + 100, 5), task("One: shoot", 10 * h, 10, true)]);
  assert.deepEqual(endsOf(v, blocksOf(v), ""), [9 * h, 10 * h + 900]);
  assert.deepEqual(endsOf(v, blocksOf(v), "One"), [8 * h + 3300, 10 * h + 900]);
  assert.deepEqual(lanesOf(v), ["A", "B", "sitter"]);
  assert.equal(secondsOf("00:30", 22 * h), 24.5 * h);
  assert.equal(secondsOf("", 0), null);
  assert.deepEqual(blocksOf(null), []);
});

test("what has happened has its own times", () => {
  const v = view([task("One: rig", 9 * h, 5), task("One: shoot", 10 * h, 10, true)]);
  v.seen = [{ task: "One: rig", begun: 9 * h, done: 9 * h + 500 }];
  if (v.day) v.day.live = { now_seconds: 10 * h, end: "", spare_seconds: null, planned_spare_seconds: null,
    chance_out_in_time: 1, chance_of_all: 1, setups: [], tasks: [{ start_seconds: 9 * h, end_seconds: 9 * h + 500,
    begun: true, over: true }, { start_seconds: 10 * h, end_seconds: 10 * h + 600, begun: true, over: false }] };
  const b = blocksOf(v);
  assert.deepEqual([b[0]?.over, b[0]?.end, b[1]?.running, b[1]?.over], [true, 9 * h + 500, true, false]);
});
