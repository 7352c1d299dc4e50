import assert from "node:assert/strict";
import { test } from "node:test";
import { escape, group, kept, m, Markup, r1 } from "./markup.ts";

test("values are escaped, markup is not", () => {
  assert.equal(escape(`<a href="x">&`), "&lt;a href=&quot;x&quot;&gt;&amp;");
  assert.equal(m`<b title="${'"><i>'}">${m`<i>${1 < 2 ? "<" : ""}</i>`}</b>`.text,
    '<b title="&quot;&gt;&lt;i&gt;"><i>&lt;</i></b>');
});

test("lists are joined, and nothing is written of what is absent", () => {
  assert.equal(m`${[1, "a", null, undefined, false, [m`<br>`]]}`.text, "1a<br>");
});

test("a line break of the source beside a tag or a value is nothing, between words it is a space", () => {
  const broken = m`<p class="a"
    id="b">one
    two <b>three</b>
    <i>four</i>
    ${5}
    </p>`;
  assert.equal(broken.text, '<p class="a" id="b">one two <b>three</b><i>four</i>5</p>');
  assert.equal(m`<pre>${"a\n  b"}</pre>`.text, "<pre>a\n  b</pre>", "what values hold stays");
});

test("what is kept carries its key, what it said and how much lies within", () => {
  const inner = kept(m`<g data-key="in"><input></g>`), outer = group("out", inner, m`<path/>`);
  assert.ok(outer instanceof Markup);
  assert.deepEqual(outer.kept.map((k) => [k.key, k.inner, k.fields]), [["out", 1, true], ["in", 0, true]]);
  assert.equal(outer.kept[0]?.text, outer.text);
  assert.equal(kept(m`<g></g>`).kept.length, 0, "without a key nothing is kept");
});

test("tenths", () => assert.deepEqual([1.24, -1.26, 0.05].map(r1), [1.2, -1.3, 0.1]));
