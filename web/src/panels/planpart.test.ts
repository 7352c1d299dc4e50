import assert from "node:assert/strict";
import { test } from "node:test";
import { placeOf } from "../draw/place.ts";
import type { SetupView } from "../model/wire.ts";
import { otherHour } from "./hours.ts";
import { scaleBar } from "./planpart.ts";
import type { Page } from "../state/store.ts";

const room = (x: number): SetupView => ({ room: { outline: [[0, 0], [x, 0], [x, x], [0, x]], ceiling: 3 },
  lights: [], panels: [], points: [], objects: [] }) as unknown as SetupView;

test("the scale bar is as long as it says, in metres and in feet, at any size and zoom", () => {
  for (const [x, k] of [[3, 1], [8, 1], [8, 6], [40, 1]] as const) {
    const p = placeOf(room(x), 500, 400, { x: 0, y: 0, k });
    for (const feet of [false, true]) {
      const s = scaleBar(p, feet).text, w = Number(/h([\d.]+)v-4/.exec(s)?.[1]),
        n = Number(/>([\d.]+) (m|ft)</.exec(s)?.[1]);
      // written to a tenth of a pixel
      assert.ok(Math.abs(w - n * (feet ? 0.3048 : 1) * p.s) < 0.06, `${s}: ${w} px for ${n} at ${p.s} px a metre`);
      assert.ok(w >= 30 && w < 260, `${w} px wide`);
    }
  }
});

test("what is of another hour than the file's says so", () => {
  const p = { view: { hours: { at: 1060 } }, hour: null, units: { lengths: "metres", clock: 24 } } as unknown as Page;
  assert.equal(otherHour(p), "");
  p.hour = 1105;
  assert.equal(otherHour(p), "at 18:25, not 17:40 as in the file");
  p.units.clock = 12;
  assert.match(otherHour(p), /6:25 pm.*5:40 pm/);
});
