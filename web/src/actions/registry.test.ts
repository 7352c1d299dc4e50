import assert from "node:assert/strict";
import { test } from "node:test";
import { isKey, keysOf, keyWords } from "./action.ts";
import { actionOf, actions, listed, run, stroke } from "./registry.ts";
import type { Desk } from "./desk.ts";
import { startPage, type Page } from "../state/store.ts";
import type { SetupView, State } from "../model/wire.ts";

const event = (key: string, more: object = {}): KeyboardEvent =>
  ({ key, code: "", ctrlKey: false, metaKey: false, altKey: false, shiftKey: false, target: { closest: () => null },
    ...more }) as unknown as KeyboardEvent;

/** A desk that notes what it was told. */
function desk(patch: Partial<Page> = {}): { d: Desk; told: string[]; page: Page } {
  const told: string[] = [], page: Page = { ...startPage(), ...patch };
  const editor = { idle: true, edit: (name: string) => { told.push(`edit ${name}`); } };
  const d = new Proxy({ editor, inTurn: (f: () => unknown) => { f(); }, store: { page, set: (x: Partial<Page>) => {
    Object.assign(page, x);
    told.push(`set ${Object.keys(x).join(" ")}`);
  } } }, {
    get: (t, name: string) => (name in t ? t[name as "store"] : (...a: unknown[]) => {
      told.push(`${name} ${a.map(String).join(" ")}`.trim());
      return [];
    }),
  }) as unknown as Desk;
  return { d, told, page };
}

test("no key means two things in the same place, and each has words", () => {
  const names = new Set<string>();
  for (const a of actions) {
    assert.ok(!names.has(a.name), `${a.name} is there twice`);
    names.add(a.name);
    assert.ok(a.words.length > 3, a.name);
  }
  const seen = new Map<string, string>();
  for (const a of actions) {
    for (const k of a.keys ?? []) {
      if (k.where || a.when) continue; // only there, or only then
      assert.equal(seen.get(k.key), undefined, `${k.key} is ${seen.get(k.key)} and ${a.name}`);
      seen.set(k.key, a.name);
    }
  }
});

test("keys are matched as they are written", () => {
  assert.ok(isKey("Ctrl+Shift+Z", event("Z", { ctrlKey: true, shiftKey: true })));
  assert.ok(isKey("Ctrl+Z", event("z", { metaKey: true })));
  assert.ok(!isKey("Ctrl+Z", event("z")));
  assert.ok(!isKey("h", event("H", { shiftKey: true })));
  assert.ok(isKey("{", event("{", { shiftKey: true })));
  assert.ok(isKey("Alt+2", event("™", { altKey: true, code: "Digit2" })));
  assert.ok(isKey("+", event("+", { shiftKey: true })));
  assert.ok(isKey("Shift+ArrowLeft", event("ArrowLeft", { shiftKey: true })) &&
    !isKey("ArrowLeft", event("ArrowLeft", { shiftKey: true })));
});

test("keys are shown as a person knows them", () => {
  assert.equal(keyWords("Ctrl+Shift+Z"), "Ctrl + Shift + Z");
  assert.equal(keyWords("Shift+ArrowUp"), "Shift + ↑");
  assert.equal(keyWords("+"), "+");
  assert.equal(keysOf(actionOf("point")!), "1 – 9");
  assert.equal(keysOf(actionOf("row")!), "↑  ↓");
});

test("what cannot be done says why, and does nothing", () => {
  const { d, told, page } = desk();
  assert.ok(run(d, "undo"));
  assert.match(page.toast, /nothing to undo/);
  assert.deepEqual(told, ["set toast"]);
  assert.equal(run(d, "no such thing"), false);
});

test("a stroke runs its action; none acts while a field is being opened, and Escape always does", () => {
  const state = { keeping: { reason: "none" }, undo: "move key", setups: [{ name: "A" }, { name: "B" }],
    messages: [] } as unknown as State;
  const a = desk({ state });
  assert.ok(stroke(a.d, event("z", { ctrlKey: true })));
  assert.ok(stroke(a.d, event("n")));
  assert.deepEqual(a.told, ["step undo", "showSetup 1"]);
  const b = desk({ state, opening: "name1", naming: 1 });
  for (const key of "abcdefghijklmnopqrstuvwxyz0123456789[]{};:'\",.<>+-?") assert.equal(stroke(b.d, event(key)),
      false, key);
  assert.deepEqual(b.told, []);
  assert.ok(stroke(b.d, event("Escape")));
  assert.equal(b.page.opening, "");
  assert.equal(b.page.naming, -1);
});

test("a key that belongs to a place acts there only", () => {
  const { d, told } = desk({ ways: null });
  stroke(d, event("ArrowDown", { target: { closest: (s: string) => (s === "#ways" ? {} : null) } }));
  assert.deepEqual(told, ["sight .way.at"]); // no ways are listed, and the ladder's row did not move either
  const view = { points: [{ name: "a" }, { name: "b" }], look: [], lights: [] } as unknown as SetupView;
  const b = desk({ view });
  stroke(b.d, event("ArrowDown"));
  assert.equal(b.told[0], "rows");
});

test("the list of actions is searched by all words, and offers one entry for each thing there is", () => {
  const view = { points: [], look: [], lights: [{ path: "l0", name: "key", role: "key", called: "key", layer: 0 },
    { path: "l1", name: "sign", role: "", called: "sign", house: true, layer: 1 }] } as unknown as SetupView;
  const p: Page = { ...startPage(), view };
  const found = listed(p, "alone sign");
  assert.ok(found.some((x) => x.words === "Sign alone" && x.says.path === "l1"));
  assert.ok(found.every((x) => /sign/i.test(x.words)));
  assert.equal(listed(p, "xyzzy").length, 0);
  for (const want of ["undo", "crop", "ways out", "balance", "booth or paper", "contours", "lock", "duplicate",
      "cover", "mid-grey"]) assert.ok(listed(p, want).length > 0, want);
});

test("what is tried is taken by Enter, and Enter is free where nothing is", () => {
  const tryout = { name: "modifier of key", edits: [], path: "l", part: "modifier", value: "", view: null, failed: "" };
  assert.equal(stroke(desk().d, event("Enter")), false);
  assert.equal(stroke(desk({ tryout }).d, event("Enter")), true);
});
