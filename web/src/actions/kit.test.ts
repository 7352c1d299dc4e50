import assert from "node:assert/strict";
import { test } from "node:test";
import { Store } from "../state/store.ts";
import type { GearView, State } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { GearHand, readPointOf, sheetEdits } from "./kit.ts";
import { actionOf, run } from "./registry.ts";

const head = (flash: boolean): GearView => ({ item: { list: "heads", name: "h", own: true }, sheet: { flash, guide: "",
  iso: "", lux: "", at: "", with: "bare", choices: [], now_stops: 0.4, then_stops: 0.25, other: "" },
  fields: [], levels: [] }) as unknown as GearView;

/** A hand over a program that answers from a list, and notes what it was asked. */
function hand(answers: Record<string, unknown>): { d: Desk; store: Store; gear: GearHand; asked: [string, unknown][] } {
  const store = new Store((f) => f()), asked: [string, unknown][] = [];
  globalThis.fetch = (async (path: string, init?: RequestInit) => {
    const key = path.split("?")[0] ?? "",
      body = typeof init?.body === "string" ? JSON.parse(init.body) as unknown : null;
    asked.push([`${init?.method ?? "GET"} ${path}`, body]);
    const a = answers[key] as { status?: number } | undefined;
    return { ok: !a?.status, status: a?.status ?? 200, text: async () => JSON.stringify(a ?? {}),
      json: async () => a ?? {} } as unknown as Response;
  }) as typeof fetch;
  const d = { store, live: { take: (state: State) => { store.set({ state }); } }, say: () => undefined,
    sight: () => undefined } as unknown as Desk;
  const gear = new GearHand(d);
  Object.assign(d, { gear });
  return { d, store, gear, asked };
}

const settle = async (): Promise<void> => { for (let i = 0; i < 20; i++) await Promise.resolve(); };

test("the figures of a sheet become settings; what is missing of them is said", () => {
  assert.match(String(sheetEdits(null, {})), /Only a head/);
  assert.match(String(sheetEdits(head(true), {})), /guide number in metres/);
  assert.match(String(sheetEdits(head(false), { lux: "4000" })), /distance/);
  const guide = sheetEdits(head(true), { guide: "58 m", iso: "ISO 100", with: "octa 90" });
  assert.deepEqual(guide, [{ key: "gives", value: "" }, { key: "guide number", value: "58 m" },
    { key: "guide iso", value: "100" }, { key: "rated with", value: "octa 90" }]);
  const lux = sheetEdits(head(false), { lux: "4000", at: "2" });
  assert.ok(Array.isArray(lux) && lux.some((e) => e.key === "gives" && e.value === '{lux: "4000 lx", at: "2 m"}'));
  const flash = sheetEdits(head(true), { lux: "900 lx s", at: "1 m" });
  assert.ok(Array.isArray(flash) && flash.some((e) => e.value === '{lux seconds: "900 lx s", at: "1 m"}'));
});

test("a reading is of the point chosen, else of the first", () => {
  assert.equal(readPointOf(["face", "hair"], "hair"), "hair");
  assert.equal(readPointOf(["face", "hair"], "gone"), "face");
  assert.equal(readPointOf([], ""), "");
});

test("the screen asks once for what it shows, and again when shoot, search, choice or log is another", async () => {
  const { store, gear, asked } = hand({ "/api/kit/own": { own: [], generic: [], alone: [], ask_first: [] },
    "/api/kit/thing": { item: { name: "" } }, "/api/learn": { readings: [] } });
  gear.follow();
  assert.equal(asked.length, 0); // another screen is shown
  store.set({ pane: "kit", link: "open", state: { run: "r", good_revision: 3 } as State });
  gear.follow(); gear.follow();
  await settle();
  assert.deepEqual(asked.map((x) => x[0]), ["GET /api/kit/own?q="]);
  gear.search(" soft ");
  gear.pick({ list: "heads", name: "h" });
  gear.follow();
  await settle();
  assert.deepEqual(asked.slice(1).map((x) => x[0]), ["GET /api/kit/own?q=soft",
    "GET /api/kit/thing?list=heads&name=h"]);
  assert.equal(store.page.gearPick, null); // there is no such thing
  gear.tab("learned");
  gear.follow();
  store.set({ logNews: 1 });
  gear.follow();
  await settle();
  assert.equal(asked.filter((x) => x[0] === "GET /api/learn").length, 2);
});

test("changes go where they belong, and a refusal stands where it was asked", async () => {
  const { d, store, gear, asked } = hand({ "/api/kit/set": { status: 422, error: "no weight" } });
  store.set({ pane: "kit" });
  run(d, "kitadd");
  assert.match(store.page.toast, /No thing/);
  gear.pick({ list: "heads", name: "h" });
  store.set({ gearThing: head(true) });
  gear.setting("weight", "x");
  await settle();
  assert.deepEqual(store.page.gearFailed, { at: "weight", text: "no weight" });
  run(d, "kitlike", { text: "mine" });
  run(d, "kitadd");
  await settle();
  assert.deepEqual(asked.at(-1), ["POST /api/kit/add", { list: "heads", like: "h", name: "mine" }]);
  assert.deepEqual(store.page.gearPick, { list: "heads", name: "mine" });
  store.set({ gearThing: head(true) });
  run(d, "kitsheet", { path: "guide", text: "" });
  run(d, "kitsheetgo");
  assert.equal(store.page.gearFailed?.at, "sheet");
  run(d, "kitsheet", { path: "guide", text: "58 m" });
  run(d, "kitsheetgo");
  await settle();
  assert.equal((asked.at(-1)?.[1] as { edits: unknown[] }).edits.length, 4);
  run(d, "kitsheetoff");
  run(d, "kitset", { path: "have", text: "2" });
  run(d, "kitremove");
  await settle();
  assert.deepEqual(asked.at(-1)?.[0], "POST /api/kit/remove");
  run(d, "kitall");
  run(d, "kitshut");
  assert.equal(store.page.gearPick, null);
});

test("readings are logged, taken back, kept and forgotten", async () => {
  const { d, store, asked } = hand({ "/api/learn/read": { revision: 1 } });
  store.set({ pane: "kit", view: { name: "S", points: [{ name: "face" }] } as never, lessons: { unkept: 0,
    readings: [] } as never });
  run(d, "readlog", { text: "f/4" });
  run(d, "readalone", { text: "key" });
  run(d, "readgo");
  await settle();
  assert.deepEqual(asked.at(-1), ["POST /api/learn/read", { setup: "S", point: "face", alone: "key", reads: "f/4" }]);
  assert.equal(store.page.readText, "");
  assert.equal(store.page.logNews, 1);
  run(d, "readback", { n: 3, arg: "" });
  await settle();
  assert.deepEqual(asked.at(-1), ["POST /api/learn/back", { seq: 3, again: false }]);
  run(d, "learnkeep");
  assert.match(store.page.toast, /nothing new/);
  store.set({ lessons: { unkept: 1, readings: [] } as never });
  run(d, "learnkeep");
  await settle();
  assert.deepEqual(asked.at(-1)?.[0], "POST /api/learn/keep");
  run(d, "learnforget", { arg: "head h" });
  await settle();
  assert.deepEqual(asked.at(-1), ["POST /api/learn/forget", { what: "head h" }]);
});

test("files are read one by one; those refused are named with why, the others wait to be taken", async () => {
  const { d, store, gear, asked } = hand({ "/api/kit/import": { id: 4, file: "a.ies", entries: [{ list: "heads",
    name: "a" }] } });
  store.set({ pane: "kit" });
  await gear.read([new File(["x"], "a.ies")]);
  assert.equal(store.page.imports.length, 1);
  gear.readAs(4, { as: "b" });
  await settle();
  assert.ok(asked.at(-1)?.[0].includes("as=b"));
  gear.readAs(4, { mode: "Pixels" });
  await settle();
  assert.match(asked.at(-1)?.[0] ?? "", /as=b.*mode=Pixels/, "what was said before stays");
  await gear.takeFiles();
  assert.deepEqual(asked.at(-1)?.[1], { ids: [4] });
  assert.deepEqual(store.page.gearPick, { list: "heads", name: "a" });
  globalThis.fetch = (async () => ({ ok: false, status: 422,
    json: async () => ({ error: "line 3 is torn" }) })) as never;
  await gear.read([new File(["x"], "torn.ies")]);
  assert.deepEqual(store.page.importBad, [{ file: "torn.ies", text: "line 3 is torn" }]);
  run(d, "kitdrop", { n: 4 });
  gear.stop();
  gear.again();
  assert.ok(actionOf("kitfiles"));
});
