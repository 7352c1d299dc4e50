import assert from "node:assert/strict";
import { test } from "node:test";
import { fParts, fText, lengthText, parseMetres, signed } from "./stops.ts";
import { encode, tint, tone } from "./colour.ts";
import { group, kept, m } from "./markup.ts";

test("f-numbers are whole stops and tenths (the full-stop series doubles area: ISO 517)", () => {
  assert.deepEqual(fParts(4), ["4", 0]);
  assert.deepEqual(fParts(4 * 2 ** 0.1), ["4", 2]);
  assert.deepEqual(fParts(2.8284), ["2.8", 0]);
  assert.deepEqual(fParts(5.6), ["5.6", 0]); // 5.6 is printed for 5.657, 0.03 stop off
  assert.equal(fText(2 ** 2.65), "f/5.6 + 0.3");
  assert.deepEqual(fParts(Number.NaN), ["0", 0]);
});

test("signed stops carry a true minus and no signed zero", () => {
  assert.equal(signed(-1.14), "\u22121.1");
  assert.equal(signed(0.04), "0.0");
  assert.equal(signed(-0.04), "0.0");
  assert.equal(signed(2, 0), "+2");
});

test("lengths are understood in metres, centimetres, feet and with a comma", () => {
  assert.equal(parseMetres("2,4"), 2.4);
  assert.equal(parseMetres("240 cm"), 2.4);
  assert.ok(Math.abs((parseMetres("7 ft 10 in") ?? 0) - 2.3876) < 1e-9); // an inch is 25.4 mm exactly
  assert.ok(Math.abs((parseMetres(`7' 10"`) ?? 0) - 2.3876) < 1e-9);
  assert.equal(parseMetres("8", "ft"), 8 * 0.3048);
  assert.equal(parseMetres("2,4 m", "ft"), 2.4);
  // half of half an inch
  for (const v of [0, 0.3048, 2.3876, 1.9177])
    assert.ok(Math.abs((parseMetres(lengthText(v, true), "ft") ?? 9) - v) < 0.0064, lengthText(v, true));
  assert.equal(lengthText(-0.3048, true), "\u22121\u2032 0\u2033");
  assert.equal(parseMetres("high"), null);
  assert.equal(parseMetres(""), null);
});

test("a tint keeps its luminance and stays inside the display", () => {
  const lin = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  for (const c of [[3.2, 0.4, 0.05], [1, 1, 1], [0.2, 0.9, 3.5], [4, -0.1, -0.2]]) {
    const rgb = (tint(c, 0.5).match(/\d+/g) ?? []).map((v) => lin(Number(v) / 255));
    const y = 0.2126 * (rgb[0] ?? 0) + 0.7152 * (rgb[1] ?? 0) + 0.0722 * (rgb[2] ?? 0);
    assert.ok(Math.abs(y - 0.5) < 0.01, `${c} has luminance ${y}`); // 0.01: three 8-bit codes
  }
});

test("the tone curve is straight, then a shoulder that ends at white", () => {
  const t = { join: 0.5, white: 1.404, power: 1.808 };
  assert.equal(tone(0.18, t), 0.18);
  assert.equal(tone(2, t), 1);
  assert.ok(tone(1, t) > tone(0.9, t));
  assert.equal(encode(1), 1);
});

test("markup escapes what it is given", () => {
  assert.equal(m`<b>${'<img src="x">'}</b>`.text, "<b>&lt;img src=&quot;x&quot;&gt;</b>");
  assert.equal(m`${[m`<i>1</i>`, "&"]}`.text, "<i>1</i>&amp;");
});

test("an element with a key is kept whole, with what is inside it, in the order of the text", () => {
  const inner = kept(m`<circle data-key="c" r="${2}"/>`),
    all = m`<path/>${group("g", inner, m`<input value="1">`)}${kept(m`<text data-key="t">${"a<b"}</text>`)}`;
  assert.equal(all.text,
    '<path/><g data-key="g"><circle data-key="c" r="2"/><input value="1"></g><text data-key="t">a&lt;b</text>');
  assert.deepEqual(all.kept.map((k) => [k.key, k.inner, k.fields, all.text.includes(k.text)]),
    [["g", 1, true, true], ["c", 0, false, true], ["t", 0, false, true]]);
  assert.equal(all.kept[2]?.stub, '<text data-key="t" data-same=""></text>');
  assert.deepEqual(kept(m`<path d="M0 0"/>`).kept, []); // no key, nothing to find it by
});
