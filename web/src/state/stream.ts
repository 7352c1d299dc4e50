// Gets the picture's layers pass by pass: each answer is a line of JSON, then
// its bytes. Between passes no connection is held, since a
// browser opens six to one address, for all its pages together.
import type { LayersHead } from "../model/wire.ts";
import type { Film } from "./store.ts";

/** Why there is no picture, as the program says it. */
async function why(res: Response): Promise<string> {
  const p = (await res.json().catch(() => null)) as { error?: string } | null;
  return p?.error ?? "The picture could not be had.";
}

/** Calls got for each pass; next says when to ask for another. Returns 'last', 'stale', or a message. */
export async function stream(url: () => string, signal: AbortSignal, next: () => Promise<unknown>,
  got: (f: Film) => void): Promise<string> {
  let since = 0, key = "", empty = 0;
  while (!signal.aborted) {
    const res = await fetch(`${url()}&once=1&since=${since}${key ? `&key=${key}` : ""}`, { signal, cache: "no-store" });
    if (!res.ok) return res.status === 409 ? "stale" : await why(res);
    const all = new Uint8Array(await res.arrayBuffer());
    const nl = all.indexOf(10);
    if (nl < 0 && ++empty > 3) return "last";
    if (nl < 0) { await next(); continue; }
    const head = JSON.parse(new TextDecoder().decode(all.subarray(0, nl))) as LayersHead;
    key = head.key ?? "";
    if (head.end === "message") return head.message ?? "the picture stopped";
    if (head.end && head.end !== "none") return head.end;
    if (!head.end) {
      if (all.length - nl - 1 < head.bytes) return "last"; // cut short
      since = head.pass;
      got({ head, data: new Uint16Array(all.buffer.slice(nl + 1, nl + 1 + head.bytes)) });
      if (head.last) return "last";
    }
    await next();
  }
  return "last";
}
