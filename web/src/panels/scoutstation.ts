// Where a photograph was taken from: corners and their names, and the photograph under the frame.
import { marksOf } from "../actions/scout.ts";
import type { ScoutPhoto } from "../model/wire.ts";
import { warpCSS } from "../model/warp.ts";
import type { Page } from "../state/store.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { length } from "../units/measures.ts";
import { button, choose } from "./button.ts";
import type { SizeOf } from "./scout.ts";

export function stationPart(p: Page, x: ScoutPhoto, size: SizeOf): Markup {
  const marks = marksOf(p), places = p.scout?.places ?? [], named = marks.corners.filter((c) => c.place).length;
  if (p.scTool !== "corner" && !marks.corners.length) return m`<section class="scsec" data-key="scstation">
    <h2>Where it was taken</h2><p>Press four corners of the room in it and name them.</p>
    ${button(p, "sctool-corner", "press corners", { key: "sccorners" })}</section>`;
  const list = marks.corners.map((c, i) => kept(m`<li data-key="corner${i}"><b>${i + 1}</b>
${choose("scplace", `Which corner ${i + 1} is`, [{ value: "", words: "which corner?", on: !c.place },
  ...places.map((q) =>
    ({ value: q.name, words: q.name, on: q.name === c.place }))], { arg: String(i), key: `scplace${i}` })}
${button(p, "sccorner", p.scCorner === i ? "press it below" : "on the plan", { n: i, on: p.scCorner === i, cls: "lnk",
    key: `scc${i}`, label: `${p.scCorner === i ? "press it below" : "on the plan"}: corner ${i + 1}` })}${button(p,
      "scuncorner", "take out",
      { n: i, cls: "lnk",
    key: `scuc${i}`, label: `take out corner ${i + 1}` })}</li>`));
  return m`<section class="scsec" data-key="scstation"><h2>Where it was taken</h2><ol class="sccorners">${list}</ol>
${named < 4 ? m`<p>${4 - named} more ${named === 3 ? "corner" : "corners"} to press and to name.</p>` : ""}
${plan(p)}${found(p, x, size)}</section>`;
}

/** The room from above, its corners to be pressed: the outer square is the floor, the inner ring the ceiling. */
function plan(p: Page): Markup {
  const o = p.scout?.outline ?? [];
  if (o.length < 3) return m`<p class="scwarn">The shoot has no room yet: walk round it first.</p>`;
  const xs = o.map((c) => c[0]), ys = o.map((c) => c[1]), lo = [Math.min(...xs), Math.min(...ys)] as const,
    w = Math.max(...xs) - lo[0], h = Math.max(...ys) - lo[1], s = Math.min(300 / w, 200 / h),
    X = (v: number): number => 40 + (v - lo[0]) * s, Y = (v: number): number => 30 + (h - (v - lo[1])) * s;
  const used = new Set(marksOf(p).corners.map((c) => c.place)), naming = p.scCorner >= 0;
  const st = p.scStation, marks = o.map((c, i) => {
    const floor = `corner ${i + 1}, floor`, top = `corner ${i + 1}, ceiling`, x = r1(X(c[0])), y = r1(Y(c[1])),
      to = (name: string, words: string, dy: number): Markup => (p.scout?.places.some((q) => q.name === name)
        ? m`<g data-act="scname" data-arg="${name}" data-key="pl${name}" class="pc${used.has(name) ? " used"
          : ""}"${naming
          ? m` tabindex="0" role="button" aria-label="${name}"` : ""}><rect class="hit" x="${r1(x - 20)}" y="${r1(y + dy
          - 11)}" width="40" height="22"></rect><rect class="bx" x="${r1(x - 20)}" y="${r1(y + dy - 9)}" width="40"
          height="18"></rect><text x="${x}" y="${r1(y + dy + 4)}">${words}</text></g>` : m``);
    return m`${to(top, `${i + 1} top`, -12)}${to(floor, `${i + 1} floor`, 12)}`;
  });
  const eye = st ? m`<g data-key="eye" class="eye"><path d="M${r1(X(st.at[0]))} ${r1(Y(st.at[1]))}l${r1(40 *
    st.axis[0])} ${r1(-40 * st.axis[1])}"></path><circle cx="${r1(X(st.at[0]))}" cy="${r1(Y(st.at[1]))}" r="4"></circle>
    </g>` : "";
  return m`<svg class="scplan${naming ? " naming" : ""}" viewBox="0 0 ${r1(w * s + 80)} ${r1(h * s + 60)}" role="group"
  aria-label="Corners of the room from above"><path class="wall" d="M${o.map((c) => `${r1(X(c[0]))} ${r1(Y(c[1]))}`)
    .join("L")}Z"></path>${eye}${marks}</svg>`;
}

function found(p: Page, x: ScoutPhoto, size: SizeOf): Markup {
  const s = p.scStation, c = p.view?.camera;
  if (!s) return p.scStationWhy ? m`<p class="scwarn" role="alert">${p.scStationWhy}</p>` : m``;
  const sd = Math.max(...s.at_sd), w = size("scunder")?.[0] ?? 380,
    aspect = c ? c.sensor_height / c.sensor_width : 2 / 3,
    h = Math.round(w * aspect);
  const under = s.under.length === 9 ? m`<div id="scunder" class="scunder" data-key="scunder" data-css="height:${h}px">
<img class="fr" src="/api/setup/${p.setup}/frame.png?w=480&amp;r=${p.view?.revision ?? 0}" alt="The predicted frame">
<img class="ph" src="/api/scout/picture?id=${x.id}" alt="The photograph, laid under the frame"
  data-css="width:${w}px;height:${h}px;transform:${warpCSS(s.under, w, h)};opacity:${(p.scUnder / 100).toFixed(2)}">
</div><label class="scsl">frame <input type="range" min="0" max="100" step="5" value="${p.scUnder}" data-act="scunder"
  data-key="scslide" aria-label="How much of the photograph lies over the frame, per cent"> photograph
  ${button(p, "scflip", p.scUnder > 50 ? "frame alone" : "photograph alone", { cls: "lnk" })}</label>
${s.plane ? m`<p class="scwarn">The setup’s camera stands elsewhere: only what lies in the plane of these
  corners fits.</p>`
    : ""}` : m`<p class="scwarn">${s.why_not}</p>`;
  return m`<p class="scfig">
    <b>${length(s.at[2], p.units)} high</b> at ${`${length(s.at[0], p.units)}, ${length(s.at[1],
      p.units)}`} ±\u00a0${length(sd, p.units)}; lens ${Math.round(s.lens_mm)} mm as on full frame,
    by${` ${s.lens_from}`}; corners missed by ${(100 * s.off).toFixed(1)} % of the width</p>
${s.doubt ? m`<p class="scwarn">${s.doubt}</p>` : ""}${under}
${button(p, "scstand", "stand the setup’s camera there")}`;
}
