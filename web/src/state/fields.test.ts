import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import type { SetupView } from "../model/wire.ts";
import { Fields } from "./fields.ts";
import { startPage, type Page, type Store } from "./store.ts";

// The rest before contours are asked for is over when due is called.
let due: (() => void) | null = null;
Object.defineProperty(globalThis, "window", { configurable: true, value: {
  setTimeout: (f: () => void): number => { due = f; return 0; } } });
let fails = "";
const asked: { url: string; signal: AbortSignal | null | undefined }[] = [];
globalThis.fetch = (async (url: string, init?: RequestInit) => {
  asked.push({ url, signal: init?.signal });
  return fails ? new Response(JSON.stringify({ error: fails }), { status: 422 })
    : new Response(JSON.stringify({ of: url }));
}) as unknown as typeof fetch;
beforeEach(() => { due = null; fails = ""; asked.length = 0; });

const view = (more: object = {}): SetupView => ({ index: 0, built: true, revision: 1, lights: [], panels: [],
  objects: [], room: { outline: [[0, 0], [4, 0], [4, 3], [0, 3]], windows: [], practicals: [] },
  sitter: { landmarks: { face: [2, 1.25, 1.6] } }, ...more }) as unknown as SetupView;

function desk(more: Partial<Page> = {}): { page: Page; fields: Fields } {
  const page = { ...startPage(), view: view(), contours: "meter" as const, ...more };
  const store = { page, set: (x: object) => Object.assign(page, x) } as unknown as Store;
  return { page, fields: new Fields(store) };
}

async function rested(): Promise<void> {
  due?.();
  due = null;
  for (let k = 0; k < 20; k++) await new Promise((done) => setImmediate(done));
}

test("contours are asked for when a place stands still: the plan, then the section", async () => {
  const { page, fields } = desk();
  fields.on(page);
  assert.equal(asked.length, 0, "not before it rests");
  await rested();
  assert.deepEqual(asked.map((a) => a.url), ["/api/setup/0/fields?z=1.6&meter=camera",
    "/api/setup/0/fields?y=1.25&meter=camera"]);
  assert.equal(page.fieldsOf, fields.wanted(page));
  assert.equal(page.sectionOf, page.fieldsOf);
  assert.equal(page.fieldsBusy, false);
  fields.on(page);
  assert.equal(due, null, "what is there is not asked for again");
});

test("nothing is asked for while a hand moves, without contours, or of another setup", () => {
  const { page, fields } = desk({ pending: true });
  fields.on(page);
  assert.equal(due, null);
  assert.equal(fields.wanted({ ...page, contours: "off" }), "");
  assert.equal(fields.wanted({ ...page, setup: 1 }), "");
  assert.equal(fields.wanted({ ...page, view: view({ built: false }) }), "");
});

test("a change gives up what is under way, and its answer is not shown", async () => {
  const { page, fields } = desk();
  fields.on(page);
  const f = due as (() => void) | null;
  f?.();
  assert.equal(page.fieldsBusy, true);
  page.drag = { what: "key", path: "setups[0].lights[0]" };
  fields.on(page);
  assert.equal(asked[0]?.signal?.aborted, true);
  assert.equal(page.fieldsBusy, false);
  due = null;
  await rested();
  assert.equal(page.fields, null);
});

test("a refusal is said and switches contours off", async () => {
  const { page, fields } = desk();
  fails = "too many nodes";
  fields.on(page);
  await rested();
  assert.equal(page.toast, "Contours: too many nodes");
  assert.equal(page.contours, "off");
});
