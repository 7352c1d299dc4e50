// Puts together what the program tells as differences to what it told before.
import type { Difference } from "./wire.ts";

/** The new value; what is the same stays the very same, so that what is drawn of it need not be drawn again. */
export function patched<T>(old: T, d: Difference): T {
  if ("whole" in d) return d.whole as T;
  if (!d.parts && !d.gone) return null as T;
  const parts = Object.entries(d.parts ?? {});
  if (parts.length === 0 && !d.gone) return old;
  if (Array.isArray(old)) {
    const out = [...old] as unknown[];
    for (const [k, p] of parts) out[Number(k)] = patched(out[Number(k)], p);
    return out as T;
  }
  const out = { ...old } as Record<string, unknown>;
  for (const [k, p] of parts) out[k] = patched(out[k], p);
  for (const k of d.gone ?? []) delete out[k];
  return out as T;
}
