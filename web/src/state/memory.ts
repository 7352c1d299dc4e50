// What this device keeps of a shoot between two openings of the page: where
// one was, the numbers of points, the places of borders. A
// private window keeps nothing.
import type { Pane } from "./parts.ts";

const most = 200; // entries of numbers that are kept

function read<T>(key: string): T | null {
  try { return JSON.parse(localStorage.getItem(key) ?? "null") as T | null; } catch { return null; }
}

function write(key: string, value: unknown): void {
  try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* a private window keeps nothing */ }
}

export interface Where {
  file: string;
  /** Name of the setup that was shown. */
  setup: string;
  pane: Pane;
}

export const keepWhere = (w: Where): void => write("where", w);

/** Where one was in this file; null: never here. */
export function foundWhere(file: string): Where | null {
  const w = read<Where>("where");
  return w && w.file === file ? w : null;
}

type Numbers = Record<string, string[]>;

/** The numbers that a setup's points were given before. */
export const foundNumbers = (file: string, setup: string): string[] =>
  read<Numbers>("numbers")?.[`${file}\n${setup}`] ?? [];

export function keepNumbers(file: string, setup: string, names: readonly string[]): void {
  const all = read<Numbers>("numbers") ?? {}, key = `${file}\n${setup}`;
  if ((all[key] ?? []).join("\n") === names.join("\n")) return;
  delete all[key];
  const keys = Object.keys(all);
  for (const k of keys.slice(0, Math.max(0, keys.length - most))) delete all[k];
  all[key] = [...names];
  write("numbers", all);
}

/** Places of the borders between panes by name, pixels. */
export const foundBorders = (): Record<string, number> => read<Record<string, number>>("borders") ?? {};
export const keepBorders = (b: Record<string, number>): void => write("borders", b);

type Pressed = [key: string, marks: unknown][];

/** What was pressed in photographs, by the key of their bytes; the last forty. */
export const foundMarks = <T>(key: string): T | null =>
  ((read<Pressed>("marks") ?? []).find((x) => x[0] === key)?.[1] as T | undefined) ?? null;

export function keepMarks(key: string, marks: unknown): void {
  const rest = (read<Pressed>("marks") ?? []).filter((x) => x[0] !== key);
  write("marks", [...rest.slice(-39), ...(marks === null ? [] : [[key, marks]])]);
}
