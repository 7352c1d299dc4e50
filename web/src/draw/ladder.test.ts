import assert from "node:assert/strict";
import { test } from "node:test";
import { ladder, ladderHead, ladderHistogram, ladderScale, rowWords, stopsAt, xAt, type LadderDrawing,
  type LadderRow } from "./ladder.ts";

const row = (x: Partial<LadderRow>, stops: number, ring: number, held = true): LadderRow => ({
  i: 0, n: 1, name: "hair edge", level: { stops, f: 4, shares: [0.7, 0.3], onPicture: true },
  ring: { held, stops: ring, lo: ring, hi: ring, met: Math.abs(stops - ring) < 0.15, path: "", words: "",
    alone: true, reads: 0 }, sigma: 0, off: "", why: "", ...x,
});
const drawing = (rows: LadderRow[], folded: LadderDrawing["folded"] = []): LadderDrawing =>
  ({ w: 210, h: 31, rows, folded, selected: 0, colours: ["rgb(1,1,1)", "rgb(2,2,2)"],
    scale: ladderScale(210, 3, -9, [0]), pictured: true });

test("the axis goes from four under to just over the clip, and a place on it reads back", () => {
  const s = ladderScale(210, 3, -9, [0.4, -1.7]);
  assert.ok(s.lo === -4 && s.hi > 3 && s.hi < 3.6);
  assert.ok(ladderScale(210, 3, -9, [-6.2]).lo <= -6.7); // half a stop under the lowest
  assert.ok(ladderScale(210, 3, -20, [-30]).lo >= -10);
  for (const v of [-3.5, 0, 1.1, 2.9]) assert.ok(Math.abs(stopsAt(s, xAt(s, v)) - v) < 1e-9);
  assert.equal(xAt(s, Number.NEGATIVE_INFINITY), s.x0);
});

test("a miss is a bar from the stroke to the ring, to scale, cut by the lights' shares; a wish that is met has none",
  () => {
  const text = ladder(drawing([row({ off: "2.0 short", why: "accent is at full" }, -1, 1)])).text;
  const bars = [...text.matchAll(
    /<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)" height="[\d.]+" fill="rgb\((\d)/g)].map((m) =>
    [Number(m[1]), Number(m[2]), m[3]] as const);
  assert.equal(bars.length, 2);
  const s = ladderScale(210, 3, -9, [0]), whole = xAt(s, 1) - xAt(s, -1);
  // a pixel of gap between them
  assert.ok(Math.abs((bars[0]?.[1] ?? 0) - whole * 0.7) < 1.2 && Math.abs((bars[1]?.[1] ?? 0) - whole * 0.3) < 1.2);
  assert.ok(text.includes("<b>2.0 short</b>: accent is at full"));
  assert.ok(!ladder(drawing([row({}, 0.5, 0.45)])).text.includes('fill="rgb(1'));
  assert.ok(!ladder(drawing([row({}, -1, 1, false)])).text.includes('fill="rgb(1'), "a free point follows: no bar");
});

test("ranges are brackets, what is off the axis an arrow, folded points one row", () => {
  const range = row({}, -2, -2);
  range.ring = { ...range.ring, lo: -3, hi: -1.5 };
  assert.equal([...ladder(drawing([range])).text.matchAll(/class="bracket"/g)].length, 2);
  assert.ok(ladder(drawing([row({}, -9, 0)])).text.includes('class="beyond"'));
  assert.match(ladder(drawing([row({}, 0, 0)], [{ stops: 1, ring: 1 }, { stops: -1, ring: -1 }])).text,
    /2 more, all free/);
});

test("a row says itself aloud, with its uncertainty", () => {
  assert.equal(rowWords(row({ n: 3, sigma: 0.24 }, -1.2, 0)),
    "3 hair edge: \u22121.2 stops from mid-grey, f/4, give or take 0.2 stop");
  assert.equal(rowWords(row({ n: 3 }, Number.NEGATIVE_INFINITY, 0)), "3 hair edge: dark");
});

test("what the meter shall read is said as it was asked, however the readings stand", () => {
  const asked = (reads: number, stops: number): string => {
    const r = row({}, stops, stops + 0.7);
    return ladder(drawing([{ ...r, ring: { ...r.ring, reads } }])).text;
  };
  for (const stops of [-0.6, 0.1]) assert.match(asked(2, stops), /value="f\/2"/);
  assert.match(asked(2 * 2 ** 0.15, 0), /class="wt fine"[^>]*value="f\/2\+\.3"/);
  assert.match(asked(0, 0.1), /value="\+0\.8"/);
});

test("a figure claims no more than it is computed to", () => {
  const says = (sigma: number): string => ladder(drawing([row({ sigma }, -0.59, 0)])).text;
  assert.match(says(0.05), /<sup>0<\/sup>/);
  assert.match(says(0.05), />\s*\u22120\.6<\/span>/);
  assert.match(says(0.4), /~<i>f\/<\/i>4<sup>0/);
  assert.match(says(0.4), />\s*\u22120\.6<\/span>/);
  assert.match(says(1.4), /~<i>f\/<\/i>4<\/span>/);
  assert.match(says(1.4), />\s*\u22121<\/span>/);
});

test("head: one tone a stop from dark to light, the clip hatched; the histogram in the same axis", () => {
  const s = ladderScale(210, 3, -9, [0]), text = ladderHead(s, 3, -9, { join: 0.5, white: 1.404, power: 1.8 }).text;
  const tones = [...text.matchAll(/fill="rgb\((\d+),/g)].map((m) => Number(m[1]));
  assert.ok(tones.length >= 7 && tones.every((v, i) => i === 0 || v >= (tones[i - 1] ?? 0)), tones.join());
  assert.match(text, /url\(#ld-dense\)/);
  const bins = new Float32Array(97).fill(0);
  bins[48] = 1; // at −4 + 6 = +2 stops
  const d = ladderHistogram(bins, -4, s).text.match(/[ML]([\d.]+) ([\d.]+)/g) ?? [],
    top = d.map((q) => q.slice(1).split(" ").map(Number)).sort((a, b) => (a[1] ?? 0) - (b[1] ?? 0))[0];
  assert.ok(Math.abs((top?.[0] ?? 0) - xAt(s, 2)) < 0.2);
});
