// The way to the program: pairing, the view as it changes, what is said.
import type { Paired, View } from "./wire.ts";

/** The desk itself serves the floor under /floor/, without pairing. */
export const desk = location.pathname.startsWith("/floor");
const base = desk ? "/api/floor" : "/api";

export class Refused extends Error {
  constructor(readonly status: number, readonly code: string, text: string) { super(text); }
}

const half = (): string => localStorage.getItem("half") ?? "";
export const paired = (): boolean => desk || half() !== "";
export const forget = (): void => localStorage.removeItem("half");

/** Asks the program; nothing is waited for longer than the time, ms. */
export async function ask<T>(method: "GET" | "POST", path: string, body?: unknown, time = 8000): Promise<T> {
  const stop = new AbortController(), clock = setTimeout(() => stop.abort(), time);
  try {
    const headers: Record<string, string> = { "Halfstop-Device": half() };
    if (body !== undefined) headers["Content-Type"] = "application/json";
    const url = path === "/floor" || path.startsWith("/floor?") ? base.replace(/\/floor$/, "") + path : base + path;
    const r = await fetch(url, { method, headers, signal: stop.signal, cache: "no-store",
      credentials: "same-origin", ...(body === undefined ? {} : { body: JSON.stringify(body) }) });
    const text = await r.text();
    if (!r.ok) {
      let p = { code: "", error: "the program answers " + r.status };
      try { p = JSON.parse(text) as typeof p; } catch { /* no JSON */ }
      throw new Refused(r.status, p.code, p.error);
    }
    return JSON.parse(text) as T;
  } finally { clearTimeout(clock); }
}

/** A picture of a test frame, as a data address: a plain image could not say which phone asks. */
export async function picture(id: string, kind: string, number: number): Promise<string> {
  const r = await fetch(`${base}/frame?id=${encodeURIComponent(id)}&kind=${kind}&number=${number}`,
    { headers: { "Halfstop-Device": half() }, credentials: "same-origin" });
  if (!r.ok) throw new Refused(r.status, "", "no picture");
  const b = await r.blob();
  return await new Promise((ok, no) => {
    const read = new FileReader();
    read.onload = () => ok(String(read.result));
    read.onerror = no;
    read.readAsDataURL(b);
  });
}

/** Pairs this phone by a code. */
export async function pair(code: string, name: string): Promise<Paired> {
  const p = await ask<Paired>("POST", "/pair", { code, name });
  localStorage.setItem("half", p.half);
  return p;
}

/** Asks for the view when it is another than the one there; at once where there is none. */
export function next(v: View | null): Promise<View> {
  return v ? ask<View>("GET", `/floor?since=${v.version}&run=${encodeURIComponent(v.run)}`, undefined,
    20000) : ask<View>("GET", "/floor");
}
