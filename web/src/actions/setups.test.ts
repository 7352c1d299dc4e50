import assert from "node:assert/strict";
import { test } from "node:test";
import type { Edit, LightView } from "../model/wire.ts";
import type { Desk } from "./desk.ts";
import { beginNaming, duplicate, duplicateEdits, freeName, remove, rename, reorder } from "./setups.ts";
import { leave, take, tryPart } from "./tryout.ts";

/** A desk with three setups whose page and edits can be looked at. */
function desk(more: object = {}): { d: Desk; page: Record<string, unknown>; edits: Edit[][]; seen: number[] } {
  const page: Record<string, unknown> = { state: { setups: [{ name: "Aisle" }, { name: "Bar" }, { name: "Bar 2" }] },
    setup: 0, naming: -1, deleting: -1, pane: "checks", compare: null, tryout: null, view: { revision: 7 }, ...more };
  const edits: Edit[][] = [], seen: number[] = [];
  const light = { path: "setups[0].lights[0]", name: "key", modifier: "octa 90", head: "h", grid: "", gels: [] };
  const d = { store: { page, set: (x: object) => Object.assign(page, x) }, open: () => undefined,
    live: { fetchView: async () => undefined }, showSetup: (i: number) => seen.push(i),
    light: (p: string) => (p === light.path ? light as unknown as LightView : undefined),
    editor: { idle: true, edit: (_: string, e: Edit[]) => { edits.push(e); } } };
  return { d: d as unknown as Desk, page, edits, seen };
}
const rest = (): Promise<void> => new Promise((r) => setTimeout(r));

test("a copy has a name that no setup has, whatever its case", () => {
  assert.equal(freeName("Bar", ["bar", "BAR 2"]), "Bar 3");
  assert.equal(freeName("Bar 2", ["Bar", "Bar 2"]), "Bar 3");
  const { d, page, edits, seen } = desk();
  duplicate(d, 1);
  assert.deepEqual(edits[0], [{ copy: "setups[1]", value: "2" }, { set: "setups[2].name", value: "Bar 3" }]);
  assert.equal(duplicateEdits(page["state"] as Parameters<typeof duplicateEdits>[0], 9), null);
  return rest().then(() => assert.deepEqual([seen, page["naming"]], [[2], 2], "shown, and its name to be typed"));
});

test("a name is taken once; an empty one and the old one change nothing", () => {
  const { d, page, edits } = desk();
  beginNaming(d, 1);
  assert.deepEqual([page["naming"], page["pane"]], [1, "setups"]);
  rename(d, 1, "  ");
  rename(d, 1, "Bar");
  rename(d, 1, "AISLE");
  assert.match(String(page["toast"]), /setup called AISLE already/);
  assert.equal(edits.length, 0);
  rename(d, 1, " Snug ");
  assert.deepEqual(edits, [[{ set: "setups[1].name", value: "Snug" }]]);
});

test("the setup that is shown stays shown when the order changes", async () => {
  const { d, page, edits, seen } = desk({ setup: 1 });
  reorder(d, 0, 1); // what stood before it goes behind it
  await rest();
  assert.deepEqual([edits[0], seen], [[{ move: "setups[0]", value: "1" }], [0]]);
  reorder(d, 0, -1);
  reorder(d, 2, 1);
  assert.equal(edits.length, 1, "the first goes no earlier, the last no later");
  page["setup"] = 0;
});

test("a setup is deleted by a second press, and never the last", async () => {
  const { d, page, edits, seen } = desk({ setup: 2 });
  remove(d, 2);
  assert.deepEqual([edits.length, page["deleting"]], [0, 2]);
  remove(d, 2);
  await rest();
  assert.deepEqual([edits, seen, page["deleting"]], [[[{ delete: "setups[2]" }]], [1], -1]);
  page["state"] = { setups: [{ name: "Aisle" }] };
  remove(d, 0);
  assert.match(String(page["toast"]), /at least one/);
});

test("a part is tried on a copy, then taken as an edit or left", async () => {
  const real = globalThis.fetch, asked: string[] = [];
  globalThis.fetch = (async (url: string, init: { body: string }) => {
    asked.push(`${url} ${init.body}`);
    return new Response(JSON.stringify({ readings: { points: [] } }),
      { headers: { "Content-Type": "application/json" } });
  }) as unknown as typeof fetch;
  try {
    const { d, page, edits } = desk(), path = "setups[0].lights[0]";
    tryPart(d, path, "modifier", "softbox 60x90");
    await rest();
    await rest();
    assert.match(asked[0] ?? "", /\/api\/setup\/0\/try .*"revision":7.*softbox 60x90/);
    assert.deepEqual(page["compare"], { with: "try", setup: 0, at: 0.5, whole: false });
    assert.equal((page["tryout"] as { failed: string }).failed, "");
    take(d);
    assert.deepEqual(edits, [[{ set: `${path}.modifier`, value: "softbox 60x90" }]]);
    assert.deepEqual([page["tryout"], page["compare"]], [null, null]);
    tryPart(d, path, "modifier", "Octa 90");
    assert.equal(page["tryout"], null, "what is in already is nothing to try");
    tryPart(d, path, "grid", "30°");
    leave(d);
    take(d);
    assert.equal(edits.length, 1, "what was left cannot be taken");
  } finally { globalThis.fetch = real; }
});
