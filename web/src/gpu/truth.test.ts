import assert from "node:assert/strict";
import { test } from "node:test";
import type { LayersHead } from "../model/wire.ts";
import { strays, type Means } from "./truth.ts";

const head = (samples: number): LayersHead => ({ samples, layers: [{ name: "key", mean: [0, 2, 0], scale: 1 },
  { name: "neon", mean: [0, 1, 0], scale: 0.5 }] }) as unknown as LayersHead;

test("a layer that strays counts by what it gives the picture, beyond what its own samples leave open", () => {
  const means: Means = new Map([[0, [0, 2, 0]], [1, [0, 0.6, 0]]]);
  const clean = strays(means, new Map(), [1, 1], head(64));
  assert.ok(Math.abs(clean.share - 0.1 / 2.5) < 1e-9);
  assert.equal(clean.says, "key 1.0000, neon 1.2000");
  // Half the samples gave 0.57: 0.09 of the 0.1 may be chance.
  const noisy = strays(means, new Map([[1, [0, 0.57, 0]]]), [1, 1], head(64));
  assert.ok(Math.abs(noisy.share - 0.01 / 2.5) < 1e-9);
});
