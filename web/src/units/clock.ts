// Times of the day: seconds after midnight, as a clock shows them.

const two = (n: number): string => String(n).padStart(2, "0");

/** 'hh:mm', rounded to the minute; a day that runs past midnight goes on counting. */
export function clock(seconds: number): string {
  const m = Math.floor((seconds + 30) / 60);
  return `${two(Math.floor(m / 60))}:${two(m % 60)}`;
}

/** The minute that has begun. */
export const minuteOf = (seconds: number): number => Math.floor(seconds / 60);

/** A time as a person types it: 17:05, 17.05, 1705, 9, 5:40 pm; null where it is none. */
export function clockRead(text: string): number | null {
  const x = /^\s*(\d{1,2})(?:[:.h ]?(\d{2}))?\s*(am|pm)?\s*$/i.exec(text);
  if (!x) return null;
  let h = Number(x[1]);
  const m = Number(x[2] ?? 0), half = (x[3] ?? "").toLowerCase();
  if (half && (h < 1 || h > 12)) return null;
  if (half) h = (h % 12) + (half === "pm" ? 12 : 0);
  return h > 23 || m > 59 ? null : h * 3600 + m * 60;
}

/** A length of time in words: '7 min', '2 h 05'. */
export function span(seconds: number): string {
  const m = Math.round(Math.abs(seconds) / 60);
  return m < 100 ? `${m} min` : `${Math.floor(m / 60)} h ${two(m % 60)}`;
}
