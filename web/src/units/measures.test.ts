import assert from "node:assert/strict";
import { test } from "node:test";
import { clock, drawn, feet, length, parseClock, readLength, typedLength, writtenLength,
  type Units } from "./measures.ts";
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

test("what a drawing or a field shows reads back, with comma or point, in metres or feet", () => {
  assert.equal(drawn(2.4, m), "2.40");
  assert.equal(drawn(2.4, m, true), "2.40 m");
  assert.equal(drawn(2.3876, ft, true), "7\u2032 10\u2033");
  assert.equal(drawn(-0.6096, ft), "\u22122\u2032 0\u2033");
  for (const v of [0.05, 0.9, 2.3876, 7.2, 12.345, -0.3]) {
    for (const u of [m, ft]) {
      const back = readLength(drawn(v, u, true), u) ?? Number.NaN;
      // shown to half an inch, or a centimetre
      assert.ok(Math.abs(back - v) <= (u === ft ? 0.0127 / 2 : 0.005) + 1e-9, `${v} came back as ${back}`);
    }
  }
  for (const [text, want] of [["2,4", 2.4], ["2.4", 2.4], ["240 cm", 2.4], ["7 ft 10 in", 2.3876],
      ["7\u2032 10\u2033", 2.3876], ["94 in", 2.3876]] as const)
    assert.ok(Math.abs((readLength(text, m) ?? 0) - want) < 1e-9, text);
  assert.ok(Math.abs((readLength("7,5", ft) ?? 0) - 7.5 * 0.3048) < 1e-9); // bare: in the person's unit
  assert.ok(Math.abs((readLength("7 ft 10½ in", ft) ?? 0) - 94.5 * 0.0254) < 1e-9);
  assert.equal(readLength("wide", ft), null);
});

test("times of day are understood in 24 and 12 hours", () => {
  assert.equal(parseClock("17:40"), 1060);
  assert.equal(parseClock("5:40 pm"), 1060);
  assert.equal(parseClock("5pm"), 1020);
  assert.equal(parseClock("12 am"), 0);
  assert.equal(parseClock("12:15 pm"), 735);
  assert.equal(parseClock("17.40"), 1060);
  assert.equal(parseClock("1740"), 1060);
  assert.equal(parseClock("12:05 pm"), 725);
  assert.equal(parseClock("7"), 420);
  assert.equal(parseClock("24:00"), 1440);
  for (const text of ["25:00", "17:61", "noon", "13 pm", "24:01", ""]) assert.equal(parseClock(text), null, text);
  assert.equal(clock(1060, ft), "5:40 pm");
  assert.equal(clock(0, ft), "12:00 am");
  assert.equal(clock(1060, m), "17:40");
  assert.equal(clock(1059.7, ft), "5:40 pm"); // rounded before it is split
  assert.equal(clock(719.6, ft), "12:00 pm");
});
