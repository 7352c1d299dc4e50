// The day as it is drawn: what is when, in whose lane, what has happened.
import type { DayTask, DayView } from "./wire.ts";

export interface Block {
  task: DayTask;
  /** Number in the plan. */
  n: number;
  /** Seconds after midnight, as it goes, or as planned before the day. */
  start: number;
  end: number;
  over: boolean;
  running: boolean;
  critical: boolean;
}

export const sitterLane = "sitter";

/** Every task of the plan with its times: from what has happened where a time of the day is said. */
export function blocksOf(v: DayView | null): Block[] {
  const d = v?.day;
  if (!v || !d) return [];
  const seen = new Map(v.seen.map((s) => [s.task, s]));
  const past = v.past.map((task): Block => ({ task, n: -1, start: task.start_seconds,
    end: task.start_seconds + task.takes_seconds, over: true, running: false, critical: false }));
  return [...past, ...d.tasks.map((task, n): Block => {
    const x = d.live?.tasks[n], s = seen.get(task.id), over = x?.over ?? (s?.done ?? 0) > 0;
    const start = x?.start_seconds ?? task.start_seconds, end = x?.end_seconds ?? start + task.takes_seconds;
    return { task, n, start, end, over, running: !over && (x?.begun ?? (s?.begun ?? 0) > 0),
      critical: task.slack_seconds < 60 };
  })];
}

/** The lanes from the top: the crew, then the sitter where anything needs one. */
export function lanesOf(v: DayView | null): string[] {
  const d = v?.day;
  if (!d) return [];
  return [...d.people, ...(d.tasks.some((t) => t.sitter) ? [sitterLane] : [])];
}

/** Whether a task lies in a lane. */
export const inLane = (t: DayTask, lane: string): boolean => (lane === sitterLane ?
  t.sitter : t.people.includes(lane));

/** The ends of the clock: quarters of an hour round all that is planned and the hours of the place. */
export function endsOf(v: DayView | null, blocks: readonly Block[], zoom: string): [number, number] {
  const all = blocks.flatMap((b) => [b.start, b.end]), quarter = 900;
  if (all.length === 0) return [9 * 3600, 18 * 3600];
  const out = secondsOf(v?.day?.out ?? "", all[0] ?? 0), now = v?.day?.live?.now_seconds;
  let lo = Math.min(...all), hi = Math.max(...all, out ?? 0);
  if (now !== undefined && zoom === "") hi = Math.max(hi, now);
  if (zoom) {
    const picture = blocks.find((b) => b.task.picture && b.task.setup === zoom);
    const mine = blocks.filter((b) => b.task.setup === zoom);
    if (picture && mine.length) {
      lo = Math.min(...mine.map((b) => b.start));
      hi = picture.end;
      return [Math.floor((lo - 120) / 300) * 300, Math.ceil((hi + 120) / 300) * 300];
    }
  }
  return [Math.floor((lo - 60) / quarter) * quarter, Math.ceil((hi + 60) / quarter) * quarter];
}

/** 'hh:mm' in seconds after midnight, on the day that near lies on; null for none. */
export function secondsOf(text: string, near: number): number | null {
  const x = /^(\d+):(\d\d)$/.exec(text);
  if (!x) return null;
  const s = Number(x[1]) * 3600 + Number(x[2]) * 60;
  return s + 24 * 3600 < near + 12 * 3600 ? s + 24 * 3600 : s;
}

/** What a task is called where its setup is told otherwise: the first words, without the figures. */
export const shortName = (t: DayTask): string => (t.picture ?
  `Shoot ${t.setup ?? ""}` : t.text.charAt(0).toUpperCase() + t.text.slice(1));

/** The order of setups with one of them put before or behind others, by the time at which its picture would begin. */
export function orderWith(blocks: readonly Block[], setup: string, start: number): string[] | null {
  const pictures = blocks.filter((b) => b.task.picture), own = pictures.find((b) => b.task.setup === setup);
  if (!own) return null;
  const was = pictures.map((b) => b.task.setup ?? "");
  // It has changed places where it begins past the middle of another picture.
  const at = (b: Block): number => (b === own ? start : b.start < own.start ?
    b.start + 0.5 * (b.end - b.start) : b.start - 1);
  const now = [...pictures].sort((a, b) => at(a) - at(b) || a.n - b.n).map((b) => b.task.setup ?? "");
  return now.join("\n") === was.join("\n") ? null : now;
}
