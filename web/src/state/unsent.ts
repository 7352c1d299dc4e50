// What was done here and not yet taken by the program, kept on the device: a page that is closed or crashes
// meanwhile loses nothing. Each page keeps its own; one that opens the shoot later takes up what all have left.
import type { Change } from "../model/wire.ts";

export interface Unsent {
  /** Name of the shoot file that it is for. */
  file: string;
  changes: Change[];
  text: { text: string; base: string } | null;
}

export const newId = (): string => `${Date.now().toString(36)}-${Math.floor(Math.random() * 2 ** 52).toString(36)}`;

const head = "unsent ";

function put(key: string, u: Unsent): void {
  try {
    if (u.changes.length || u.text) localStorage.setItem(key, JSON.stringify(u));
    else localStorage.removeItem(key);
  } catch { /* a private window keeps nothing */ }
}

function got(key: string): Unsent | null {
  try {
    const u = JSON.parse(localStorage.getItem(key) ?? "null") as Unsent | null;
    return u && Array.isArray(u.changes) ? u : null;
  } catch { return null; }
}

/** What one page keeps and finds. */
export function unsentOf(page: string): {
  keep: (part: Partial<Unsent>) => void; found: (file: string) => Unsent | null;
} {
  const mine = head + page;
  let now: Unsent = { file: "", changes: [], text: null };
  return {
    /** Notes a part of it; an empty whole is taken off the device. */
    keep(part): void {
      now = { ...now, ...part };
      put(mine, now);
    },
    /**
     * What other pages left for this file, oldest first, and is this page's from now on; null for nothing. Of
     * another file it stays where it is, and so does a second text: the next page finds it.
     */
    found(file): Unsent | null {
      now = { ...now, file };
      let all: string[] = [], any = false;
      try { all = Array.from({ length: localStorage.length }, (_, i) => localStorage.key(i) ?? ""); } catch {
        return null;
      }
      for (const key of all.filter((k) => k.startsWith(head) && k !== mine).sort()) {
        const u = got(key);
        if (!u || u.file !== file) continue;
        any = true;
        const second = now.text && u.text;
        now = { file, changes: [...now.changes, ...u.changes], text: now.text ?? u.text };
        put(mine, now); // before it goes from where it was
        put(key, { ...u, changes: [], text: second ? u.text : null });
      }
      return any ? now : null;
    },
  };
}

export const { keep: keepUnsent, found: foundUnsent } = unsentOf(newId());
