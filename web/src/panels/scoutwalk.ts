// The room walked round: lengths and turns by the keyboard, the drawing, the closing error.
import { heightOf } from "../actions/scout.ts";
import { gapCM, turnOf, walked, type Walked } from "../model/walk.ts";
import type { Page } from "../state/store.ts";
import { m, r1, type Markup } from "../units/markup.ts";
import { drawn, length } from "../units/measures.ts";
import { minus } from "../units/stops.ts";
import { button, choose } from "./button.ts";

export function walkPart(p: Page): Markup {
  const w = walked(p.walk, p.units), begun = p.walk.some((s) => s.length !== ""), high = heightOf(p);
  const rows = p.walk.map((s, i) => {
    const t = turnOf(s.turn), bad = s.length !== "" && !(Number(w.lengths[i]) > 0),
      other = s.turn !== "left" && s.turn !==
      "right", fix = w.spread[i] ?? 0;
    return m`<li data-key="side${i}"><b>${i + 1}</b><input data-act="walklen" data-arg="${i}" data-key="walklen-${i}"
  data-enter="walknext" data-n="${i}" value="${s.length}" autocomplete="off" aria-label="Length of side ${i + 1}"${bad
      ? m` aria-invalid="true"` : ""}>
${choose("walkturn", `Turn after side ${i + 1}`, [{ value: "left", words: "then left", on: s.turn === "left" },
      { value: "right", words: "then right", on: s.turn === "right" }, { value: "0", words: "straight on", on:
        s.turn === "0" }, ...(other && s.turn !== "0" ? [{ value: s.turn, words: t === null ? s.turn
        : `${minus(String(t))}° left`, on: true }] : [])], { arg: String(i), key: `walkturn${i}` })}
<span class="fix">${w.spread.length && Math.abs(fix) >= 0.0005 ? `${fix > 0 ? "+" : "−"}${(100 * Math.abs(fix))
      .toFixed(1)} cm` : ""}</span>${button(p, "walkdrop", "take out", { n: i, cls: "lnk", key: `walkdrop${i}`,
      label: `take out side ${i + 1}` })}</li>`;
  });
  return m`<div class="scwalk" data-key="walk"><section><h2>Walk round the room</h2>
    <p>Begin in a corner with the wall beside
you. Type a length and Enter, wall by wall; the turn can stand behind it: <b>3.10 l</b>, <b>2.4 r</b>, <b>1.2
  45°</b>${" "}
(degrees to the left). The last wall leads back to the first corner.</p><ol class="sides">${rows}</ol>
<div class="scf"><label>ceiling at <input data-act="walkheight" data-key="walkheight" value="${p.walkHeight}"
  placeholder="${p.scout?.ceiling ? drawn(p.scout.ceiling, p.units, true) : "height"}" autocomplete="off"
  aria-label="Height of the ceiling"></label></div>
<div class="closing" role="status" data-key="closing">${begun ? closing(w) : ""}</div>
<div class="acts">${button(p, "walkwrite", "write it as the room")}${button(p, "walkagain", "begin again",
    { cls: "lnk" })}</div>
${!w.why && high === null ? m`<p class="scwarn">The height of the ceiling is wanting.</p>` : ""}
${p.scout?.room !== "none" && p.scout?.outline.length
  ? m`<p class="scwarn">It takes the place of the room that is there.
  Doors and windows keep the number of their wall: wall 1 is the first one walked when walked with turns to the left.
  </p>` : m`<p>Walls, floor and ceiling that nobody states are listed under Assumed, with what is taken
    for them and what hangs on it.</p>`}</section>
${drawing(p, w)}</div>`;
}

/** How far it is from closing, and what is done about it. */
function closing(w: Walked): Markup {
  if (w.why) return m`<p>${w.why}</p>`;
  const cm = gapCM(w), o = w.outline, area = Math.abs(o.reduce((s, a, i) => {
    const b = o[(i + 1) % o.length] ?? a;
    return s + (a[0] * b[1] - b[0] * a[1]) / 2;
  }, 0)), most = Math.max(...w.spread.map(Math.abs));
  return m`<p><b>Closing error ${cm.toFixed(1)} cm</b>${cm < 0.05 ? "" : m`: spread over the sides, ${(100 * most)
    .toFixed(1)} cm at most each`}. ${area.toFixed(1)} m².</p>
      ${cm > 15 ? m`<p class="scwarn">That is more than a tape is
  wrong: measure the longest side again.</p>` : ""}${Math.abs(w.off) > 0.5 ? m`<p class="scwarn">The turns make
  ${Math.round(360 + w.off)}°, not 360°: one of them may be wrong.</p>` : ""}`;
}

function drawing(p: Page, w: Walked): Markup {
  const done = w.outline.length > 0, pts = w.path, xs = pts.map((c) => c[0]), ys = pts.map((c) => c[1]),
    lo = [Math.min(...xs), Math.min(...ys)] as const, ww = Math.max(0.5, Math.max(...xs) - lo[0]),
    hh = Math.max(0.5, Math.max(...ys) - lo[1]), s = Math.min(560 / ww, 460 / hh), X = (v: number): number =>
      50 + (v - lo[0]) * s, Y = (v: number): number => 40 + (hh - (v - lo[1])) * s, W = ww * s + 100, H = hh * s + 80;
  if (pts.length < 2) return m`<p class="cap">The first wall comes here.</p>`;
  const at = (c: readonly [number, number]): string => `${r1(X(c[0]))} ${r1(Y(c[1]))}`,
    last = pts[pts.length - 1] ?? [0, 0];
  const labels = pts.slice(1).map((b, i) => {
    const a = pts[i] ?? [0, 0], x = (X(a[0]) + X(b[0])) / 2, y = (Y(a[1]) + Y(b[1])) / 2;
    return m`<text data-key="t${i}" x="${r1(x)}" y="${r1(y + 4)}">${drawn(w.lengths[i] ?? 0, p.units)}</text>`;
  });
  return m`<svg class="walkdraw" viewBox="0 0 ${r1(W)} ${r1(H)}" role="img" aria-label="${done
    ? `The room as walked, ${w.outline.length} corners` : "The walk so far"}"><path class="wall"
    d="M${pts.map(at).join("L")}"></path>
      <circle class="first" cx="${r1(X(0))}" cy="${r1(Y(0))}" r="5">
    </circle><path class="gap" d="M${at(last)}L${at([0, 0])}"></path>${labels}
${done ? m`<text x="${r1(W / 2)}" y="${r1(H - 8)}">${length(Math.max(...w.outline.map((c) => c[0])), p.units)} ×${" "}
  ${length(Math.max(...w.outline.map((c) => c[1])), p.units)}</text>` : ""}</svg>`;
}
