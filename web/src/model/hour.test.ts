import assert from "node:assert/strict";
import { test } from "node:test";
import { againstFile, daylightStops, stopMinutes, sunAltitude, sunComesIn } from "./hour.ts";
import type { HoursView } from "./wire.ts";

const h = { at: 1000, shown: 1000, beam: [true, true, false], from: 990, to: 1010, step: 10, sun: [2, 0, -2],
  stops: [0.5, 0, -2.5], says: [], marks: [] } as unknown as HoursView;

test("daylight follows the table, straight between its entries and no farther than its ends", () => {
  assert.equal(daylightStops(h, 1000), 0);
  assert.equal(daylightStops(h, 995), 0.25);
  assert.equal(daylightStops(h, 9999), -2.5);
  assert.equal(daylightStops(h, null), 0);
  assert.equal(daylightStops(undefined, 1000), 0);
  assert.equal(sunAltitude(h, 1005), -1);
  assert.equal(sunComesIn(h, 990), true);
  assert.equal(sunComesIn(h, 1010), false);
});

test("what was traced at another hour is weighed from there", () => {
  const later = { ...h, shown: 1010, stops: [3, 2.5, 0] };
  assert.equal(daylightStops(later, 1010), 0);
  assert.equal(daylightStops(later, null), 2.5);
  assert.equal(againstFile(later, 1010), -2.5);
});

test("one stroke for each stop that goes: half a stop to 1000, then 0.25 stop a minute", () => {
  assert.deepEqual(stopMinutes(h).map((m) => Math.round(m)), [1002, 1006]);
});
