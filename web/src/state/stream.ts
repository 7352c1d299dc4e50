// Reads the stream of layers: a line of JSON, then its bytes, again and again.
import type { LayersHead } from "../model/wire.ts";
import type { Film } from "./store.ts";

/** Calls got for each pass. Returns 'last', 'stale', or a message. */
export async function stream(url: string, signal: AbortSignal, got: (f: Film) => void): Promise<string> {
  const res = await fetch(url, { signal, cache: "no-store" });
  if (!res.ok || !res.body) return res.status === 409 ? "stale" : `the picture could not be had (${res.status})`;
  const reader = res.body.getReader();
  let pile: Uint8Array[] = [];
  let have = 0;
  const more = async (): Promise<boolean> => {
    const { done, value } = await reader.read();
    if (done || !value) return false;
    pile.push(value);
    have += value.length;
    return true;
  };
  const gather = (): Uint8Array => {
    if (pile.length === 1 && pile[0]) return pile[0];
    const all = new Uint8Array(have);
    let at = 0;
    for (const p of pile) { all.set(p, at); at += p.length; }
    pile = [all];
    return all;
  };
  const keep = (rest: Uint8Array): void => { pile = rest.length ? [rest] : []; have = rest.length; };
  for (;;) {
    let all = gather();
    let nl = all.indexOf(10);
    while (nl < 0) {
      if (!(await more())) return "last";
      all = gather();
      nl = all.indexOf(10);
    }
    const head = JSON.parse(new TextDecoder().decode(all.subarray(0, nl))) as LayersHead;
    keep(all.subarray(nl + 1));
    if (head.end) return head.end === "message" ? head.message ?? "the picture stopped" : head.end;
    while (have < head.bytes) if (!(await more())) return "last";
    all = gather();
    const block = all.slice(0, head.bytes); // own copy, aligned
    keep(all.subarray(head.bytes));
    got({ head, data: new Uint16Array(block.buffer, 0, head.bytes / 2) });
    if (head.last) return "last";
  }
}
