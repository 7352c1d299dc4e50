import assert from "node:assert/strict";
import { test } from "node:test";
import type { Edit } from "../model/wire.ts";
import { startScout } from "../state/scout.ts";
import type { Desk } from "./desk.ts";
import { askOf, heightOf, kelvinOf, marksOf, ScoutHand, shareOf, walkEdits } from "./scout.ts";

const photo = { id: 3, name: "bar.jpg", width: 900, height: 600, exposure: null, missing: "exposure data", lens_mm: 0 };
const scout = { photos: [photo], targets: [{ name: "walls", kind: "surface" }], places: [], outline: [], ceiling: 2.7,
  room: "size" };
const take = { name: "take walls from bar.jpg",
  edits: [{ set: "room.surfaces.walls", value: "{diffuse: '#808080'}" }] };

/** A desk before a program that answers every question of the screen. */
function desk(refuse = "") {
  const page: Record<string, unknown> = { ...startScout(), pane: "scout", link: "live", setup: 0, state: {
    good_revision: 4 }, units: { lengths: "metres", clock: 24 }, view: null };
  const edits: [string, Edit[]][] = [], asked: [string, unknown][] = [], opened: string[] = [];
  const d = { store: { page, set: (x: object) => Object.assign(page, x) }, say: () => undefined, open: (k: string) => {
    opened.push(k);
  }, editor: { edit: (w: string, e: Edit[]) => { edits.push([w, e]); } } };
  const sent: number[] = [];
  globalThis.fetch = (async (path: string, init?: RequestInit) => {
    const body: unknown = typeof init?.body === "string" ? JSON.parse(init.body) : undefined, no = refuse !== "" &&
      path.startsWith(refuse);
    asked.push([path, body]);
    const data = no ? { error: "it cannot be" } : path === "/api/scout" || path.endsWith("/drop") ? scout
      : path.startsWith("/api/scout/photo") ? photo : path.endsWith("/put") ? take : path.endsWith("/lights")
      ? { lights: [], hidden: 0 } : path.endsWith("/stand") ? { at: [1, 2, 3], take: { name: "stand", edits: [] } }
      : { version: 1, spots: [], notes: [] };
    return { ok: !no, status: no ? 422 : 200, text: async () => JSON.stringify(data), json: async () => data };
  }) as unknown as typeof fetch;
  globalThis.XMLHttpRequest = class {
    upload: { onprogress: (e: unknown) => void } = { onprogress: () => undefined };
    status = 0;
    responseText = "";
    private path = "";
    onload: () => void = () => undefined;
    onabort: () => void = () => undefined;
    open(_: string, path: string): void { this.path = path; }
    setRequestHeader(): void { /* nothing hangs on it here */ }
    abort(): void { this.onabort(); }
    async send(): Promise<void> {
      this.upload.onprogress({ lengthComputable: true, loaded: 1, total: 2 });
      sent.push(Number(page["scSent"]));
      if (this.path.includes("stopped")) { during(); return; }
      const r = await globalThis.fetch(this.path) as unknown as { status: number; text: () => Promise<string> };
      [this.status, this.responseText] = [r.status, await r.text()];
      this.onload();
    }
  } as unknown as typeof XMLHttpRequest;
  const hand = new ScoutHand(d as unknown as Desk), during = (): void => hand.stopBringing();
  return { sent, hand, page: page as unknown as ReturnType<typeof startScout> & {
    toast: string }, edits, asked, opened };
}

const settled = () => new Promise((done) => setTimeout(done, 5));

test("shares and kelvins are read as they are typed", () => {
  assert.deepEqual(["18", "18 %", "0.18", "0,85", "1 %", "0", "x", "120"].map(shareOf), [0.18, 0.18, 0.18, 0.85, 0.01,
    null, null, null]);
  assert.deepEqual(["3200", "3200 K", "", "900"].map(kelvinOf), [3200, 3200, null, null]);
  assert.deepEqual(askOf(3, { spots: [{ x: 1, y: 2, target: "", taken: false }], card: { x: 5, y: 6 }, known: "18",
    white: "3200", corners: [] }), { id: 3, spots: [{ name: "spot 1", x: 1, y: 2 }], card: { x: 5, y: 6,
    reflectance: 0.18 }, white_kelvin: 3200 });
});

test("a spot is pressed, named and put into the shoot as one change", async () => {
  const { hand, page, edits, asked } = desk();
  hand.follow();
  await settled();
  assert.equal(page.scPhoto, 3, "the last photograph that is held is shown");
  page.scTool = "card";
  hand.press({ x: 10, y: 20 });
  assert.equal(page.scTool, "spot", "after the card what is to be measured");
  hand.press({ x: 30.123, y: 40 });
  hand.known("85");
  hand.white("3200");
  hand.target(0, "walls");
  await hand.put(0);
  assert.deepEqual(edits, [[take.name, take.edits]]);
  const put = asked.find((a) => a[0] === "/api/scout/put")?.[1];
  assert.deepEqual(put, { ask: { id: 3, spots: [{ name: "walls", x: 30.12, y: 40 }], card: { x: 10, y: 20,
    reflectance: 0.85 }, white_kelvin: 3200 }, target: "walls" });
  assert.equal(marksOf(page).spots[0]?.taken, true);
  hand.target(0, "floor");
  assert.equal(marksOf(page).spots[0]?.taken, false, "it is another thing now");
  await hand.lights();
  assert.ok(page.scLights);
  hand.noCard();
  hand.unspot(0);
  assert.deepEqual([marksOf(page).card, marksOf(page).spots.length, page.scLights], [null, 0, null]);
  hand.drop(3);
  await settled();
  assert.equal(asked.filter((a) => a[0] === "/api/scout/drop").length, 1);
});

test("what is refused is said, and nothing is changed", async () => {
  const { hand, page, edits } = desk("/api/scout/put");
  page.scPhoto = 3;
  hand.press({ x: 30, y: 40 });
  hand.target(0, "walls");
  await hand.put(0);
  assert.deepEqual([page.scFailed, edits.length, page.scBusy], ["it cannot be", 0, ""]);
});

test("photographs are brought one after the other; one that cannot be read is named", async () => {
  const ok = desk();
  await ok.hand.bring([new File(["x"], "a b.jpg")]);
  assert.deepEqual([ok.page.scPhoto, ok.page.scFailed, ok.asked[0]?.[0]], [3, "", "/api/scout/photo?name=a%20b.jpg"]);
  const bad = desk("/api/scout/photo");
  await bad.hand.bring([new File(["x"], "a.jpg")]);
  assert.equal(bad.page.scFailed, "it cannot be");
  assert.deepEqual(ok.sent, [0.5], "how far it is is told");
  const off = desk();
  await off.hand.bring([new File(["x"], "stopped.jpg"), new File(["x"], "b.jpg")]);
  assert.deepEqual([off.page.scFailed, off.page.scBusy, off.asked.length], ["", "", 0],
    "a stop says nothing and brings no more");
});

test("the camera is looked for as soon as four corners have names", async () => {
  const { hand, page, edits, asked } = desk();
  page.scPhoto = 3;
  page.scTool = "corner";
  for (let i = 0; i < 4; i++) {
    hand.press({ x: 10 * i, y: 5 });
    assert.equal(page.scCorner, i, "the one that was pressed is to be named");
    hand.name(`corner ${i + 1}, floor`);
  }
  await settled();
  assert.equal(asked.filter((a) => a[0] === "/api/scout/stand").length, 1);
  assert.ok(page.scStation);
  hand.takeStand();
  assert.equal(edits[0]?.[0], "stand");
  hand.corner(2);
  hand.uncorner(0);
  await settled();
  assert.deepEqual([page.scStation, page.scCorner], [null, -1]);
});

test("a walk is typed side by side and written over the size that stands there", () => {
  const { hand, page, edits, opened } = desk();
  page.scout = scout as unknown as NonNullable<typeof page.scout>;
  for (const [i, t] of ["4", "3 l", "4", "3"].entries()) hand.length(i, t);
  assert.equal(page.walk.length, 5, "the next one is begun");
  hand.turn(0, "right");
  hand.write();
  assert.equal(edits.length, 0, "it does not close");
  hand.turn(0, "left");
  hand.write();
  assert.deepEqual(edits[0]?.[1], [{ delete: "room.size" }, { set: "room.outline",
    value: "[[0, 0], [4, 0], [4, 3], [0, 3]]" }, { set: "room.ceiling", value: "2.7 m" }]);
  hand.height("2,5");
  assert.equal(heightOf(page as never), 2.5);
  assert.deepEqual(walkEdits("none", [[0, 0], [1, 0], [0, 1]], 2.5), [{ set: "room",
    value: "{outline: [[0, 0], [1, 0], [0, 1]], ceiling: 2.5 m}" }]);
  hand.unside(1);
  assert.equal(page.walk.length, 4);
  hand.restart();
  assert.deepEqual([page.walk.length, opened], [1, ["walklen-0"]]);
});
