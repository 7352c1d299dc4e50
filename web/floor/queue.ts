// What a person said and the program has not acknowledged yet: kept on the phone, sent in order,
// again until it is taken.
import type { Entry } from "./wire.ts";

interface Kept { next: number; list: Entry[] }

/** The outbox of one device. Storage is read and written whole each time, so that two tabs of one phone share it. */
export class Outbox {
  constructor(private readonly name: string) {}

  private read(): Kept {
    try {
      const k = JSON.parse(localStorage.getItem(this.name) ?? "") as Kept;
      if (Number.isSafeInteger(k.next) && Array.isArray(k.list)) return k;
    } catch { /* nothing there yet */ }
    return { next: 1, list: [] };
  }
  private write(k: Kept): void { localStorage.setItem(this.name, JSON.stringify(k)); }

  list(): Entry[] { return this.read().list; }

  /** Adds an entry under the next number and gives that. */
  add(e: Omit<Entry, "number" | "said">, said: number): number {
    const k = this.read(), number = k.next;
    this.write({ next: number + 1, list: [...k.list, { ...e, number, said }] });
    return number;
  }

  /** Everything up to a number is on the medium. */
  taken(upto: number): void {
    const k = this.read();
    this.write({ ...k, list: k.list.filter((e) => e.number > upto) });
  }

  /**
   * Takes an entry back that was never sent, if it is the last one; else it must be reversed by another entry.
   * sent: the highest number that may have reached the program.
   */
  drop(number: number, sent: number): boolean {
    const k = this.read();
    if (number <= sent || k.list.at(-1)?.number !== number) return false;
    this.write({ next: number, list: k.list.slice(0, -1) });
    return true;
  }

  /** The log waits for another number than ours: it is one that has less of us than we thought,
    or we lost what we knew. */
  follow(next: number): void {
    const k = this.read(), first = k.list[0];
    if (first && first.number > next) {
      const by = first.number - next;
      this.write({ next: k.next - by, list: k.list.map((e) => ({ ...e, number: e.number - by, ...(e.undo ?
        { undo: e.undo > by ? e.undo - by : e.undo } : {}) })) });
    } else if (k.next < next && !first) this.write({ next, list: [] });
    else if (!first && k.next > next) this.write({ next, list: [] });
  }
}
