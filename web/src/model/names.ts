// What a light is called on the screens.
import type { LightView } from "./wire.ts";

/** Its role where it has one of its own, else its name; with a capital. */
export function wholeName(l: Pick<LightView, "role" | "house" | "name">): string {
  const t = l.role && !l.house ? l.role : l.name;
  return capital(t);
}

export const capital = (t: string): string => t.charAt(0).toUpperCase() + t.slice(1);

/** What it is: head, what is on it, gels, colour. */
export function hardware(l: LightView): string {
  if (l.kind === "daylight") return "daylight";
  const parts = [l.head, l.modifier === "bare" ? "" : l.modifier, l.grid, ...l.gels.map((g) => `${g} gel`), l.colour,
    l.through ? `through ${l.through}` : ""];
  const said = parts.filter(Boolean).join(", ");
  return l.house ? `${said || l.kind}, the house’s` : said;
}
