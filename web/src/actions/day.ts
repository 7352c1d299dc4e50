// What a person does about the day: asks for it, holds tasks, ticks, plans anew, makes papers.
import { blocksOf, inLane, orderWith, sitterLane } from "../model/day.ts";
import type { Edit } from "../model/answers.ts";
import type { DayTask, DayView, PaperView } from "../model/wire.ts";
import { ask, Refused } from "../state/wire.ts";
import { clock, clockRead } from "../units/clock.ts";
import type { Desk } from "./desk.ts";

const two = (n: number): string => String(n).padStart(2, "0");
const dateOf = (d: Date): string => `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`;

const quoted = (s: string): string => JSON.stringify(s);

export class DayHand {
  private running = false;
  private again = false;
  private asked = -1;
  private minute = -1;
  private whole: AbortController | null = null;

  constructor(private readonly desk: Desk) {}

  private get page() { return this.desk.store.page; }

  /** Seconds after midnight that it is for the day; 0: before it. */
  now(): number {
    const n = this.page.dayNow;
    if (typeof n === "number") return n;
    if (n === "before") return 0;
    const d = new Date();
    return d.getHours() * 3600 + d.getMinutes() * 60 + d.getSeconds();
  }

  /** What happens is of this time: before the day, of the plan's own. */
  private at(t: DayTask | undefined, end: boolean): number {
    return this.now() || (t ? t.start_seconds + (end ? t.takes_seconds : 0) : 0);
  }

  /** Asks anew where the shoot or what happened is another than what is shown. */
  follow(): void {
    const p = this.page, rev = p.state?.good_revision ?? 0;
    if (p.pane !== "day" || rev === 0 || p.link === "lost") return;
    if (p.day?.revision === rev) return;
    if (p.day && p.day.revision !== -1 && this.asked === rev) return;
    void this.refresh();
  }

  /** The clock's next minute. */
  tick(): void {
    if (this.page.pane !== "day" || this.page.dayNow !== "clock") return;
    const m = Math.floor(this.now() / 60);
    if (m !== this.minute) { this.minute = m; void this.refresh(true); }
  }

  /** Fetches the plan, then what takes longer: kit, what to give up. light: the plan alone. */
  async refresh(light = false): Promise<void> {
    if (this.running) { this.again = true; return; }
    this.running = true;
    const s = this.desk.store;
    try {
      do {
        this.again = false;
        this.asked = s.page.state?.good_revision ?? 0;
        const now = this.now(), old = s.page.day;
        s.set({ dayBusy: "quick" });
        const v = await ask<DayView>(`/api/day?quick=1${now ? `&now=${now}` : ""}`);
        // The kit and what to give up stand until they are there anew.
        if (old?.day && v.day) { v.kit = old.kit; v.kit_says = old.kit_says;
          v.day.give_up_first = old.day.give_up_first; }
        s.set({ day: v, dayBusy: light ? "" : "all" });
        if (old === null) this.begin(v);
      } while (this.again);
      if (!light || s.page.day?.kit.length === 0) void this.rest();
    } catch (e) { this.desk.say(e); s.set({ dayBusy: "" }); }
    this.running = false;
  }

  private async rest(): Promise<void> {
    this.whole?.abort();
    const mine = new AbortController(), s = this.desk.store, now = this.now();
    this.whole = mine;
    try {
      const v = await ask<DayView>(`/api/day${now ? `?now=${now}` : ""}`, undefined, "GET", mine.signal);
      if (mine.signal.aborted) return;
      if (v.revision >= (s.page.day?.revision ?? 0) && !s.page.dayDrag) s.set({ day: v });
    } catch (e) { if (!mine.signal.aborted && !(e instanceof TypeError)) this.desk.say(e); }
    if (this.whole === mine) { this.whole = null; s.set({ dayBusy: "" }); }
  }

  /** On the day itself the clock runs by itself. */
  private begin(v: DayView): void {
    const d = new Date(), today = dateOf(d);
    if (v.date === today && v.day) this.setNow("clock");
  }

  setNow(n: "before" | "clock" | number): void {
    this.desk.store.set({ dayNow: n });
    void this.refresh();
  }

  /** A time as it was typed; nothing: before the day. */
  typed(text: string): void {
    if (text.trim() === "") { this.setNow("before"); return; }
    const n = clockRead(text);
    if (n === null) { this.desk.store.set({ toast: `“${text}” is no time of day; write it like 17:05.` });
      this.desk.store.set({}); return; }
    const first = this.page.day?.day?.tasks?.[0]?.start_seconds ?? 0;
    this.setNow(n < first - 12 * 3600 ? n + 24 * 3600 : n);
  }

  task(id = this.page.dayTask): DayTask | undefined { return this.page.day?.day?.tasks?.find((t) => t.id === id); }

  private async tell(what: string, name: string, at: number): Promise<boolean> {
    try {
      await ask<unknown>("/api/day", { what, name, at });
      return true;
    } catch (e) { this.desk.say(e); return false; }
  }

  async happened(what: "begun" | "done" | "undo", id = this.page.dayTask): Promise<void> {
    const t = this.task(id);
    if (id && await this.tell(what, id, this.at(t, what === "done"))) await this.refresh(true);
  }

  async kit(what: "out" | "back", name: string): Promise<void> {
    const p = this.page;
    // At once on the page; the program's word follows.
    if (p.day) this.desk.store.set({ day: { ...p.day, kit: p.day.kit.map((k) => (k.name === name ? { ...k,
      [what]: !k[what] } : k)) } });
    if (!(await this.tell(what, name, 0))) await this.refresh();
  }

  /** Plans anew from now, with what is done and what runs. */
  async late(): Promise<void> {
    const now = this.now();
    if (now === 0) { this.desk.store.set({ toast: "Say what time it is first: the clock's, or typed.",
      opening: "daynow" }); return; }
    if (await this.tell("late", "", now)) await this.refresh();
  }

  async wholePlan(): Promise<void> { if (await this.tell("plan", "", this.now())) await this.refresh(); }

  /** Holds a task: at a time, by people; or lets it go. */
  lock(id: string, at: string, by: readonly string[] | null): void {
    const v = this.page.day, t = this.task(id);
    if (!v || !t) return;
    const had = v.locks.find((l) => l.task.toLowerCase() === id.toLowerCase()), list: Edit[] = [];
    const people = by ?? (had?.by.length ? had.by : []), who = `[${people.map(quoted).join(", ")}]`;
    if (had) {
      list.push({ set: `${had.path}.at`, value: quoted(at) });
      if (people.length) list.push({ set: `${had.path}.by`, value: who });
    } else {
      const value = `{task: ${quoted(id)}, at: ${quoted(at)}${people.length ? `, by: ${who}` : ""}}`;
      list.push(v.locks.length ? { append: "day.locks", value } : { set: "day.locks", value: `[${value}]` });
    }
    this.desk.editor.edit(`hold ${t.text}`, list);
  }

  unlock(id: string): void {
    const v = this.page.day, had = v?.locks.find((l) => l.task.toLowerCase() === id.toLowerCase()), t = this.task(id);
    if (v && had) this.desk.editor.edit(`free ${t?.text ?? id}`, [v.locks.length > 1 ?
      { delete: had.path } : { delete: "day.locks" }]);
  }

  toggleLock(id = this.page.dayTask): void {
    const b = blocksOf(this.page.day).find((x) => x.task.id === id);
    if (!b) return;
    if (b.task.locked) this.unlock(id);
    else this.lock(id, clock(Math.floor(b.start / 60) * 60), null);
  }

  /** Moves a task by minutes: it is held there. */
  nudge(minutes: number, id = this.page.dayTask): void {
    const b = blocksOf(this.page.day).find((x) => x.task.id === id);
    if (b && !b.over) this.put(id, Math.floor(b.start / 60) * 60 + 60 * minutes, "");
  }

  /** Puts a task where a hand let it go. lane: of another person, who does it then. */
  put(id: string, start: number, lane: string, from = ""): void {
    const p = this.page, blocks = blocksOf(p.day), b = blocks.find((x) => x.task.id === id), t = b?.task;
    if (!p.day || !b || !t) return;
    if (t.picture) {
      const order = orderWith(blocks, t.setup ?? "", start);
      if (order) {
        const all = (p.state?.setups ?? []).map((s) => s.name), rest = all.filter((n) => !order.includes(n));
        const held = p.day.locks.filter((l) => l.at && order.some((n) => l.task === `${n}: shoot`));
        const free: Edit[] = held.length === p.day.locks.length && held.length ?
          [{ delete: "day.locks" }] : held.map((l) => ({ delete: l.path })).reverse();
        this.desk.editor.edit(`shoot ${order.join(", ")}`, [{ set: "day.order",
          value: `[${[...order, ...rest].map(quoted).join(", ")}]` }, ...free]);
        return;
      }
    }
    let by: string[] | null = null;
    if (lane && lane !== sitterLane && !inLane(t, lane)) {
      by = t.people.map((q) => (q === (from || t.people[0]) ? lane : q));
      if (!by.includes(lane)) by = [lane, ...t.people.slice(1)];
    }
    this.lock(id, clock(start), by);
  }

  freeOrder(): void { this.desk.editor.edit("free the order", [{ delete: "day.order" }]); }

  // Papers.
  private paperAsk: AbortController | null = null;

  async paper(name: string, size = this.page.paperSize): Promise<void> {
    const s = this.desk.store, mine = new AbortController();
    this.paperAsk?.abort();
    this.paperAsk = mine;
    s.set({ dayPart: "papers", paper: name, paperSize: size, paperMade: null, paperDone: 0 });
    try {
      const made = await ask<PaperView>(`/api/papers?name=${name}&paper=${size}`, undefined, "GET", mine.signal);
      if (!mine.signal.aborted) s.set({ paperMade: made, paperDone: -1 });
    } catch (e) {
      if (mine.signal.aborted) return;
      s.set({ paperDone: -1 });
      if (!(e instanceof Refused) || e.status !== 409) this.desk.say(e);
    }
  }

  /** Prints the paper that is shown, once all of its pages are drawn. */
  async print(): Promise<void> {
    const made = this.page.paperMade;
    if (!made || made.pages === 0) { this.desk.store.set({ toast: "There is no page to print yet." }); return; }
    const all = [...document.querySelectorAll<HTMLImageElement>(".sheets img")];
    await Promise.all(all.map((i) => i.decode().catch(() => undefined)));
    window.print();
  }

  /** Shows on the desk what a finding is about. */
  show(path: string, plan: boolean): void {
    const i = Number(/^setups\[(\d+)\]/.exec(path)?.[1] ?? -1),
      light = /^setups\[\d+\]\.lights\[\d+\]/.exec(path)?.[0] ?? "";
    if (i >= 0) this.desk.showSetup(i);
    this.desk.store.set({ pane: "desk", large: plan ? "plan" : "picture", phone: plan ? "plan" : "frame",
      ...(light ? { light, last: "light" as const, thing: { what: "light" as const, path: light } } : {}) });
    this.desk.live.remembered();
  }
}
