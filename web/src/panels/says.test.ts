import assert from "node:assert/strict";
import { test } from "node:test";
import type { ReadingsView } from "../model/wire.ts";
import { startPage, type Page } from "../state/store.ts";
import { progressSay, readingsSay, savedSay } from "./says.ts";

test("readings that time ended are not called fine: the line says how well the worst point is known", () => {
  const of = (word: "first" | "fine", ...errors: number[]): ReadingsView =>
    ({ word, error_asked_stops: 0.01, readings: { points: errors.map((e) => ({ error_stops: e,
      stops_error_stops: e / 2 })) } }) as unknown as ReadingsView;
  assert.equal(readingsSay(of("first", 0.2)), ", readings settling");
  assert.equal(readingsSay(of("fine", 0.01, 0.004)), "");
  assert.equal(readingsSay(of("fine", 0.004, 0.052)), ", readings to 0.05 st only");
  assert.equal(readingsSay(of("fine")), "");
});

test("typing that waits for a word of who types is not being saved", () => {
  const state = { keeping: { word: "saved" } } as Page["state"],
    says = (part: Partial<Page>): string => String(savedSay({ ...startPage(), link: "live", state, ...part }));
  assert.match(says({ textDirty: true }), /^saving/);
  assert.match(says({ textDirty: true, clash: true }), /not saved:.*say which stand/);
});

test("a picture of the plan before a change is not called one of so many samples", () => {
  const part = { link: "live", view: { camera: {}, lights: [{ layer: 0 }], built: true, messages: [] },
      film: { head: { last: true, samples: 128, layers: [] } } } as unknown as Partial<Page>,
    says = (old: boolean): string => String(progressSay({ ...startPage(), ...part, filmOld: old }));
  assert.match(says(false), /picture <b>fine/);
  assert.match(says(true), /of before the last change/);
});
