// What was done here and not yet taken by the program, kept on the device
// while the link is lost: a page that is closed or crashes
// meanwhile loses nothing.
import type { Change } from "../model/wire.ts";

export interface Unsent {
  /** Name of the shoot file that it is for. */
  file: string;
  changes: Change[];
  text: { text: string; base: string } | null;
}

const key = "unsent";
let now: Unsent = { file: "", changes: [], text: null };

export const newId = (): string => `${Date.now().toString(36)}-${Math.floor(Math.random() * 2 ** 52).toString(36)}`;

/** Notes a part of it; an empty whole is taken off the device. */
export function keepUnsent(part: Partial<Unsent>): void {
  now = { ...now, ...part };
  try {
    if (now.changes.length || now.text) localStorage.setItem(key, JSON.stringify(now));
    else localStorage.removeItem(key);
  } catch { /* a private window keeps nothing */ }
}

/** What an earlier page left for this file; null for nothing. Of another file it stays where it is. */
export function foundUnsent(file: string): Unsent | null {
  now = { ...now, file };
  try {
    const u = JSON.parse(localStorage.getItem(key) ?? "null") as Unsent | null;
    if (!u || u.file !== file || !Array.isArray(u.changes)) return null;
    now = u;
    return u;
  } catch { return null; }
}
