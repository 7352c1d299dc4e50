// What can be put into the place: walls drawn, openings and furniture pressed
// or dragged into the plan, surfaces by name with a swatch.
import { capital } from "../model/names.ts";
import { child, find } from "../model/tree.ts";
import type { Page } from "../state/store.ts";
import { encode } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";
import { drawn } from "../units/measures.ts";
import { button, choose } from "./button.ts";

const rgb = (c: readonly number[]): string => `rgb(${c.map((v) => Math.round(255 * encode(v))).join(",")})`;

/** Parts of the room that have a surface. */
const partsOf = (p: Page): string[] => ["walls", "floor", "ceiling",
  ...(p.view?.room.outline ?? []).map((_, i) => `wall ${i + 1}`)];

export function palette(p: Page): Markup {
  if (p.beside !== "plan") return m``;
  const b = (what: string, words: string, title: string): Markup => button(p, "placing", words,
    { arg: what, on: p.placing === what, title });
  const things = (p.place?.things ??
    []).map((t) => ({ value: `thing:${t.kind}`,
      words: `${t.kind}, ${t.size.map((v) => drawn(v, p.units)).join(" × ")}`, on: p.placing === `thing:${t.kind}` }));
  const list = choose("placing", "Put a thing into the plan", [{ value: "", words: "things…" }, ...things],
    { key: "pl-things" });
  return m`<div class="pal">
    ${b("walls", "draw walls", "press corner after corner, or drag a rectangle; type a length for the next wall")}${b(
      "window", "window", "press on a wall, or drag it there")}${b("door", "door",
      "press on a wall, or drag it there")}${list}${b("surfaces", "surfaces", "what walls, floor and ceiling are of")}
    </div>${hint(p)}${p.placing === "surfaces" ? swatches(p) : ""}`;
}

function hint(p: Page): Markup {
  if (p.placing === "walls") {
    const n = p.sketch?.length ?? 0;
    const typed = m`<label>length <input data-enter="typedwall" data-key="typedwall" data-own="${n}"
      autocomplete="off" size="6" aria-label="Length of the next wall"></label>`;
    return m`<p class="palh walls"><span role="status">${n === 0 ? "Press the first corner, or drag a rectangle."
      : `${n} ${n === 1 ? "corner" : "corners"}. Point the way, then press or type: `}</span>${n
      ? m`${typed} ${button(p, "backwall", "one back")} ${n > 2
        ? button(p, "closewalls", "close the room", { title: "Enter" }) : ""}`
        : ""} ${button(p, "placing", "leave", { arg: "", key: "pl-leave", title: "Escape" })}</p>`;
  }
  if (p.placing && p.placing !== "surfaces")
    return m`<p class="palh" role="status">Press in the plan where ${p.placing.replace("thing:",
      "the ")} ${p.placing === "window" || p.placing === "door" ? "is: on a wall"
      : "stands: near a wall it goes against it"}. ${button(p, "placing", "leave",
        { arg: "", key: "pl-leave", title: "" })}</p>`;
  return m``;
}

function swatches(p: Page): Markup {
  const at = find(p.tree?.root, "room.surfaces"), now = child(at, p.painting)?.text ?? "",
    list = p.place?.surfaces ?? [];
  const parts = choose("painting", "Part of the room",
    partsOf(p).map((x) => ({ value: x, words: `${capital(x)}${child(at, x)?.text ? `: ${child(at, x)?.text}` : ""}`,
      on: x === p.painting })));
  return m`<div class="sws"><p>${parts} ${p.place?.under ? `as ${p.place.under} shows them` : "in daylight of 5500 K"}
    </p><div class="swl">${list.map((s) =>
    button(p, "paint", m`<u data-css="background:${rgb(s.linear)}"></u><span>${s.name}</span>
      <small>${Math.round(s.reflectance * 100)} %</small>`, { arg: s.name, on: now === s.name,
      title: `${s.name}, reflects ${Math.round(s.reflectance * 100)} %` }))}</div></div>`;
}
