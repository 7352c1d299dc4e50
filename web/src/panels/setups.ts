// The setups as cards with small pictures, in the order of shooting:
// shown, laid beside, duplicated, named, moved, deleted.
import { pictureKey } from "../state/pictures.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { said } from "../units/measures.ts";
import { button } from "./button.ts";

const side = 200;

export interface CardWish { key: string; setup: number; revision: number; edits: never[]; side: number }

/** The small pictures that the cards want, the one shown first. */
export function cardWishes(p: Page): CardWish[] {
  const rev = p.state?.good_revision ?? 0;
  return (p.state?.setups ?? []).map((_, i) => ({ key: pictureKey(i, rev, [], side), setup: i, revision: rev,
    edits: [], side }));
}

/** A setup's picture: that of the text as it is, else the newest there was; nothing while none is there. */
export function cardPicture(p: Page, i: number): { url: string; stale: boolean; failed: string } {
  const now = p.pictures.get(pictureKey(i, p.state?.good_revision ?? 0, [], side)) ?? "";
  if (now.startsWith("!")) return { url: "", stale: false, failed: now.slice(1) };
  if (now) return { url: now, stale: false, failed: "" };
  let last = "";
  for (const [k, u] of p.pictures) if (k.startsWith(`${i} `) && k.endsWith(` ${side} []`) && u &&
      !u.startsWith("!")) last = u;
  return { url: last, stale: last !== "", failed: "" };
}

export function setupCards(p: Page): Markup {
  const list = p.state?.setups ?? [];
  return m`<div class="hd"><h2>Setups</h2><p>In the order of shooting. Small pictures come as there is time.</p></div>
    <ol class="cards">${list.map((s, i) => {
    const pic = cardPicture(p, i), on = i === p.setup,
      b = (act: string, words: string) => button(p, act, words, { arg: "this", n: i, key: `${act}${i}`,
        label: `${words}: ${s.name}`, title: "" });
    const beside = p.compare?.with === "setup" && p.compare.setup === i;
    return m`<li class="card${on ? " sel" : ""}" data-key="card${i}"><button class="pic${pic.stale ? " stale" : ""}"
      data-act="setup" data-arg="${i}" data-key="pic${i}" aria-label="Show ${s.name}${pic.url ? ""
        : `, ${pic.failed || "being computed"}`}" aria-current="${on ? "true" : "false"}">
      ${pic.url ? m`<img src="${pic.url}" alt="">` : m`<span>${pic.failed || "being computed"}</span>`}</button>
      <div class="ct">${p.naming === i ? m`<input class="name" data-act="name" data-n="${i}" data-key="name${i}"
        data-pick="" autocomplete="off" value="${s.name}" aria-label="Name of the setup ${s.name}">`
        : m`<b>${i + 1} ${s.name}</b>`}<p>${[said(s.time, p.units), s.priority ? `priority ${s.priority}` : "",
          on ? "shown" : ""].filter(Boolean).join(", ")}</p>
<div class="acts">${on ? "" : button(p, "beside", beside ? "take away" : "lay beside",
  { n: i, key: `beside${i}`, label: `${beside ? "take away" : "lay beside"}: ${s.name}` })}${b("duplicate",
  "duplicate")}${b("naming", "rename")}${b("earlier", "earlier")}${b("later", "later")}${p.deleting === i
  ? m`<span class="sure" role="alert">Delete ${s.name}? ${b("delsetup", "yes, delete")}${b("keepsetup", "keep")}
    </span>` : b("delsetup", "delete")}</div></div></li>`;
  })}</ol>`;
}
