import assert from "node:assert/strict";
import { test } from "node:test";
import { isKey, keysOf, keyWords } from "./action.ts";
import { listed } from "./listed.ts";
import { actionOf, actions, run, stroke } from "./registry.ts";
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

test("every action is in the list, on every screen, with its keys", () => {
  for (const pane of ["desk", "day", "kit", "scout", "edit"] as const) {
    const there = new Set(listed({ ...startPage(), pane }, "").map((x) => (x.leads ?? x.action).name));
    for (const a of actions) {
      if (a.name === "seek" || a.name === "gofield") continue;
      assert.ok(there.has(a.name), `${a.name} on ${pane}`);
    }
  }
  const kit = listed(startPage(), "maker sheet use").find((x) => x.leads?.name === "kitsheetgo");
  assert.deepEqual(kit?.says, { arg: "kitsheetgo", path: "kit" });
  assert.match(kit?.words ?? "", /on the Kit screen$/);
});

test("a photographer's words find what is called otherwise, and a thing's own name comes first", () => {
  const p = startPage();
  const finds = {
    dim: "nudge", power: "nudge", kelvin: "wb", wb: "wb", iris: "dial-aperture", iso: "dial-iso", asa: "dial-iso",
    ambient: "dial-shutter", zoom: "lens", dof: "focus", meter: "spotkey", "false colour": "stops",
    "floor plan": "exchange", falloff: "contours", gel: "pick", solo: "solo", kill: "off", strobe: "add",
    fix: "pane-ways", warning: "pane-checks", yaml: "pane-text", "dark mode": "theme", export: "saveas",
    "golden hour": "hourby", gear: "pane-kit", subject: "addsitter", feet: "edlengths", "call sheet": "pane-day",
    recce: "pane-scout", solve: "reach", clone: "duplicate", shortcut: "help", target: "wish",
  };
  for (const [words, name] of Object.entries(finds)) {
    const found = listed(p, words).map((x) => (x.leads ?? x.action).name);
    assert.ok(found.includes(name), `${words} finds ${found.join(", ") || "nothing"}, not ${name}`);
  }
  for (const [words, name] of [["fix", "pane-ways"], ["solo", "solo"], ["gear", "pane-kit"], ["iris", "dial-aperture"],
    ["dim", "nudge"], ["warning", "pane-checks"], ["kelvin", "wb"]] as const) {
    assert.equal((listed(p, words)[0]?.leads ?? listed(p, words)[0]?.action)?.name, name, words);
  }
  assert.equal(listed(p, "crop")[0]?.action.name, "crop");
  assert.equal(listed(p, "undo")[0]?.action.name, "undo");
});

test("what is tried is taken by Enter, and Enter is free where nothing is", () => {
  const tryout = { name: "modifier of key", edits: [], path: "l", part: "modifier", value: "", view: null, failed: "" };
  assert.equal(stroke(desk().d, event("Enter")), false);
  assert.equal(stroke(desk({ tryout }).d, event("Enter")), true);
});
