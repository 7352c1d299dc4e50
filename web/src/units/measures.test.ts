import assert from "node:assert/strict";
import { test } from "node:test";
import { clock, feet, length, parseClock, typedLength, writtenLength, type Units } from "./measures.ts";
import { parseMetres } from "./stops.ts";

const m: Units = { lengths: "metres", clock: 24 }, ft: Units = { lengths: "feet", clock: 12 };

test("lengths are shown in the person's unit, each with its unit", () => {
  assert.equal(length(2.4, m), "2.40 m");
  assert.equal(length(2.3876, ft), "7 ft 10 in"); // an inch is 25.4 mm exactly
  assert.equal(length(0.05, ft), "50 mm");
  assert.equal(length(-1.5, m), "\u22121.50 m");
  assert.equal(feet(0.3048 * 3), "3 ft");
  assert.equal(feet(0.0254 * 10.25), "10¼ in");
  assert.equal(writtenLength("240 cm", m), "240 cm");
  assert.equal(writtenLength("7.2", m), "7.2 m");
  assert.equal(writtenLength("7 ft 10 in", m), "2.39 m");
  assert.equal(writtenLength("wide", m), "wide");
});

test("typed lengths become what the file understands", () => {
  assert.equal(typedLength("2,1", m), "2.1 m");
  assert.equal(typedLength("2,1 m", m), "2.1 m");
  assert.equal(typedLength("12", ft), "12 ft");
  assert.equal(typedLength("7'10\"", m), "7 ft 10 in");
  assert.equal(typedLength("wide", m), "wide");
  for (const v of [0.12, 0.9, 2.3876, 7.2, 12.345]) {
    const back = parseMetres(typedLength(length(v, ft), ft)) ?? 0;
    assert.ok(Math.abs(back - v) <= 0.0254 / 8 + 1e-9, `${v} came back as ${back}`); // shown to a quarter inch
  }
});

test("times of day are understood in 24 and 12 hours", () => {
  assert.equal(parseClock("17:40"), 1060);
  assert.equal(parseClock("5:40 pm"), 1060);
  assert.equal(parseClock("5pm"), 1020);
  assert.equal(parseClock("12 am"), 0);
  assert.equal(parseClock("12:15 pm"), 735);
  assert.equal(parseClock("17.40"), 1060);
  assert.equal(parseClock("1740"), 1060);
  assert.equal(parseClock("25:00"), null);
  assert.equal(parseClock("soon"), null);
  assert.equal(clock(1060, ft), "5:40 pm");
  assert.equal(clock(0, ft), "12:00 am");
  assert.equal(clock(1060, m), "17:40");
});
