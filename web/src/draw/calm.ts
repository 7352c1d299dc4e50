// Makes the first passes of a picture calm: a pixel that stands out of its neighbours takes the place of the third from the end among them.
import type { Film } from "../state/store.ts";

/** Samples a pixel up to which a pass is calmed; a later one is shown as it is, catchlights and all. */
const upTo = 2;
const near = 3;

/**
 * The film with salt and pepper taken out, layer by layer, so that any mix of them is as calm. Light of a lone pixel is lost, so this is for
 * looking only. Positive half floats are in order as whole numbers are, so nothing is converted.
 */
export function calm(f: Film): Film {
  if (f.head.samples > upTo) return f;
  const { w, h } = f.head, n = w * h, out = f.data.slice(), y = new Uint16Array(n);
  // A picture of many pixels is calmer by itself, and this work is done while a person waits.
  const rounds = n < 80000 ? 2 : 1;
  for (let l = 0; l < f.head.layers.length; l++) {
    const layer = out.subarray(l * n * 3, (l + 1) * n * 3);
    for (let round = 0; round < rounds; round++) {
      for (let i = 0; i < n; i++) y[i] = layer[i * 3 + 1] ?? 0;
      one(layer, y, w, h);
    }
  }
  return { head: f.head, data: out };
}

const list = new Int32Array(8);

function one(layer: Uint16Array, y: Uint16Array, w: number, h: number): void {
  const was = layer.slice();
  for (let r = 0; r < h; r++) {
    for (let x = 0; x < w; x++) {
      const at = r * w + x, v = y[at]!, inside = x > 0 && r > 0 && x < w - 1 && r < h - 1;
      let under = 0, over = 0, n = 8;
      if (inside) {
        list[0] = at - w - 1; list[1] = at - w; list[2] = at - w + 1; list[3] = at - 1; list[4] = at + 1; list[5] = at + w - 1; list[6] = at + w; list[7] = at + w + 1;
      } else {
        n = 0;
        for (let j = Math.max(0, r - 1); j <= Math.min(h - 1, r + 1); j++) for (let i = Math.max(0, x - 1); i <= Math.min(w - 1, x + 1); i++) if (i !== x || j !== r) list[n++] = j * w + i;
      }
      for (let k = 0; k < n; k++) { const q = y[list[k]!]!; if (q <= v) under++; if (q >= v) over++; }
      const most = Math.min(near, n);
      if (under >= most && over >= most) continue;
      const from = nth(y, n, most - 1, over < most);
      for (let c = 0; c < 3; c++) layer[at * 3 + c] = was[from * 3 + c]!;
    }
  }
}

/** The neighbour that is so many places from the brightest, or from the darkest. */
function nth(y: Uint16Array, n: number, place: number, bright: boolean): number {
  for (let i = 0; i <= place; i++) {
    let best = i;
    for (let k = i + 1; k < n; k++) if (bright ? y[list[k]!]! > y[list[best]!]! : y[list[k]!]! < y[list[best]!]!) best = k;
    const t = list[i]!;
    list[i] = list[best]!;
    list[best] = t;
  }
  return list[place]!;
}
