import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { Pictures, pictureKey } from "./pictures.ts";
import { startPage, type Film, type Store } from "./store.ts";
import { stream } from "./stream.ts";

// A program that gives one answer after the other; the addresses that were asked for.
let answers: Response[] = [];
const asked: string[] = [];
globalThis.fetch = (async (url: string) => {
  asked.push(url);
  const r = answers.shift();
  if (!r) throw new TypeError("Failed to fetch");
  return r;
}) as unknown as typeof fetch;
beforeEach(() => { answers = []; asked.length = 0; });

/** A pass as it comes: a line of JSON, then two bytes a value. */
function pass(head: object, values: number[] = []): Response {
  const line = new TextEncoder().encode(`${JSON.stringify({ bytes: 2 * values.length, ...head })}\n`);
  const all = new Uint8Array(line.length + 2 * values.length);
  all.set(line);
  all.set(new Uint8Array(new Uint16Array(values).buffer), line.length);
  return new Response(all);
}

async function run(): Promise<{ end: string; films: Film[] }> {
  const films: Film[] = [];
  const end = await stream(() => "/layers?w=8", new AbortController().signal, async () => undefined,
    (f) => films.push(f));
  return { end, films };
}

test("passes come one after the other, each asked for from the one before, until the last", async () => {
  answers = [pass({ pass: 1, key: "k" }, [1, 2]), new Response(new Uint8Array()), pass({ pass: 4, last: true }, [3])];
  const { end, films } = await run();
  assert.equal(end, "last");
  assert.deepEqual(films.map((f) => [...f.data]), [[1, 2], [3]]);
  assert.deepEqual(asked, ["/layers?w=8&once=1&since=0", "/layers?w=8&once=1&since=1&key=k",
    "/layers?w=8&once=1&since=1&key=k"]);
});

test("a pass that is cut short is not shown", async () => {
  const whole = new Uint8Array(await pass({ pass: 1 }, [1, 2]).arrayBuffer());
  answers = [new Response(whole.slice(0, whole.length - 1))];
  assert.deepEqual(await run(), { end: "last", films: [] });
});

test("what the program says in place of a picture is handed on", async () => {
  answers = [new Response("", { status: 409 })];
  assert.equal((await run()).end, "stale");
  answers = [new Response(JSON.stringify({ error: "no camera" }), { status: 422 })];
  assert.equal((await run()).end, "no camera");
  answers = [new Response("not JSON", { status: 500 })];
  assert.equal((await run()).end, "The picture could not be had.");
  answers = [pass({ end: "message", message: "it broke" })];
  assert.equal((await run()).end, "it broke");
  answers = [pass({ end: "stale" })];
  assert.equal((await run()).end, "stale");
});

test("without any pass it gives up after four empty answers; a link that is lost is thrown", async () => {
  answers = Array.from({ length: 9 }, () => new Response(new Uint8Array()));
  assert.equal((await run()).end, "last");
  assert.equal(asked.length, 4);
  answers = [];
  await assert.rejects(run(), TypeError);
});

test("small pictures: more urgent work goes first, a newer text ends it, a reason is kept", async () => {
  const page = startPage(), store = { page, set: (x: object) => Object.assign(page, x) } as unknown as Store;
  const dropped: string[] = [], p = new Pictures(store, undefined, (u) => dropped.push(u));
  const wish = (setup: number): { key: string; setup: number; revision: number; edits: []; side: number } =>
    ({ key: pictureKey(setup, 1, [], 96), setup, revision: 1, edits: [], side: 96 });
  const all = async (): Promise<void> => {
    for (let k = 0; k < 50; k++) await new Promise((done) => setImmediate(done));
  };
  answers = [new Response("", { status: 202 }), new Response("a"), new Response("b")];
  p.want([wish(0)]);
  await all();
  const first = page.pictures.get(wish(0).key) ?? "";
  assert.match(first, /^blob:/);
  assert.equal(dropped.length, 1, "the coarse picture is given back");
  answers = [new Response("", { status: 409 })];
  p.want([wish(1)]);
  await all();
  assert.equal(page.pictures.get(wish(1).key), undefined);
  answers = [new Response(JSON.stringify({ error: "no camera" }), { status: 422 })];
  p.want([wish(2)]);
  await all();
  assert.equal(page.pictures.get(wish(2).key), "!no camera");
  URL.revokeObjectURL(first);
});
