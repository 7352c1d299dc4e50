// What a light is called on the screens.
import type { LightView } from "./wire.ts";

/** What the program calls it, with a capital: its role where no other light has that, else its name. */
export const wholeName = (l: Pick<LightView, "called">): string => capital(l.called);

export const capital = (t: string): string => t.charAt(0).toUpperCase() + t.slice(1);

/** What it is: head, what is on it, gels, colour. */
export function hardware(l: LightView): string {
  if (l.kind === "daylight") return "daylight";
  const parts = [l.head, l.modifier === "bare" ? "" : l.modifier, l.grid, ...l.gels.map((g) => `${g} gel`), l.colour,
    l.through ? `through ${l.through}` : ""];
  const said = parts.filter(Boolean).join(", ");
  return l.house ? `${said || l.kind}, the house’s` : said;
}
