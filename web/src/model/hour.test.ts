import assert from "node:assert/strict";
import { test } from "node:test";
import { clockText, daylightStops, parseClock, stopMinutes, sunAltitude } from "./hour.ts";
import type { HoursView } from "./wire.ts";

const h = { at: 1000, from: 990, to: 1010, step: 10, sun: [2, 0, -2], stops: [0.5, 0, -2.5], says: [], marks: [] } as unknown as HoursView;

test("daylight follows the table, straight between its entries and no farther than its ends", () => {
  assert.equal(daylightStops(h, 1000), 0);
  assert.equal(daylightStops(h, 995), 0.25);
  assert.equal(daylightStops(h, 9999), -2.5);
  assert.equal(daylightStops(h, null), 0);
  assert.equal(daylightStops(undefined, 1000), 0);
  assert.equal(sunAltitude(h, 1005), -1);
});

test("one stroke for each stop that goes: half a stop to 1000, then 0.25 stop a minute", () => {
  assert.deepEqual(stopMinutes(h).map((m) => Math.round(m)), [1002, 1006]);
});

test("times of day are understood as 24 and 12 hours", () => {
  for (const [text, want] of [["17:40", 1060], ["17.40", 1060], ["1740", 1060], ["5:40 pm", 1060], ["12 am", 0], ["12:05 pm", 725], ["7", 420]] as const) assert.equal(parseClock(text), want, text);
  for (const text of ["25:00", "17:61", "noon", "13 pm", "24:01", ""]) assert.equal(parseClock(text), null, text);
  assert.equal(clockText(1060), "17:40");
});
