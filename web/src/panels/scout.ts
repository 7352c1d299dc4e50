// The Scout screen: photographs as measurements, the room walked round, what is assumed of the place.
import { kelvinOf, marksOf, shareOf } from "../actions/scout.ts";
import type { Measured, ScoutPhoto } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { linearOfUV, tint } from "../units/colour.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { length } from "../units/measures.ts";
import { minus } from "../units/stops.ts";
import { button, choose } from "./button.ts";
import { scanChooser, scanPart } from "./scoutscan.ts";
import { stationPart } from "./scoutstation.ts";
import { walkPart } from "./scoutwalk.ts";

/** Width and height of an element by its id, once it is drawn. */
export type SizeOf = (id: string) => [number, number] | null;

export function scoutScreen(p: Page, size: SizeOf): Markup {
  const parts = [["photos", "Photographs"], ["scan", "Scan"], ["walk", "Walk round"],
      ["assumed", "Assumed"]] as const,
    body = p.scPart === "scan" ? scanPart(p) : p.scPart === "walk" ? walkPart(p) : p.scPart === "assumed" ? assumed(p)
      : photographs(p, size);
  return m`<div class="schead"><nav class="tabs" aria-label="Parts of the scouting">${parts.map(([k, w]) =>
    button(p, "scpart", w, { arg: k, on: p.scPart === k }))}</nav>${p.scPart === "photos" ? head(p)
    : p.scPart === "scan" ? scanHead(p) : ""}</div>
<div class="scmain" data-key="sc${p.scPart}">${body}</div>`;
}

function head(p: Page): Markup {
  const list = p.scout?.photos ?? [], busy = { photo: "reading the photograph", read: "measuring", lights:
    "looking for the colours of light", scan: "", find: "", stand: "looking for the camera", put: "putting it in",
    "": "" }[p.scBusy];
  return m`<label class="scfile"><input type="file" class="vh" multiple data-scfile="" data-key="scfile"
    accept=".jpg,.jpeg,.tif,.tiff,.png,.dng,.cr2,.nef,.arw,.raf,.orf,.rw2,image/*">
      <span>choose photographs</span></label>
<div class="scphotos">${list.map((x) => button(p, "scphoto", x.name, { n: x.id, on: x.id === p.scPhoto,
    title: x.name }))}</div><span class="ds" role="status" data-key="scsay">${busy}</span>${p.scBusy === "photo"
    ? button(p, "scstop", "stop", { cls: "lnk" }) : ""}
${p.scFailed ? m`<p class="scbad" role="alert" data-key="scbad">${p.scFailed}</p>` : ""}`;
}

/** How far a file is: sent to the program, then read by it. */
const sending = (p: Page, what: string): string => p.scSent < 1 ? `bringing ${what}, ${Math.floor(100 * p.scSent)} %`
  : `reading ${what}`;

function scanHead(p: Page): Markup {
  const busy = p.scBusy === "scan" ? sending(p, "the scan") : p.scBusy === "find" ? "looking at it anew"
    : p.scBusy === "put" ? "writing it" : "";
  return m`${scanChooser()}<span class="ds" role="status" data-key="scscansay">${busy}</span>${p.scBusy === "scan"
    ? button(p, "scanstop", "stop", { cls: "lnk" }) : ""}
${p.scScanBad || p.scFailed ? m`<p class="scbad" role="alert" data-key="scscanbad">${p.scScanBad || p.scFailed}</p>`
    : ""}`;
}

function photographs(p: Page, size: SizeOf): Markup {
  const x = p.scout?.photos.find((y) => y.id === p.scPhoto);
  if (!x) return m`<div class="scdrop" data-key="scempty"><h2>Drop photographs of the place here, or choose them.</h2>
    <p>JPEG, TIFF, PNG, or a raw file with a preview. They are measured on this machine, held in memory and
      never kept or
    sent. Say the exposure by hand, f/2.8 or so, white balance on a fixed value, a grey card or a sheet of paper in the
    light.</p></div>`;
  return m`<div class="scphoto" data-key="scphoto">${picture(p, x)}</div>
<div class="scside" tabindex="0" role="group" aria-label="What the photograph says">${facts(p, x)}${tools(p)}${spots(p)}
${lights(p)}${stationPart(p, x, size)}</div>`;
}

/** What the file says of its exposure. */
function facts(p: Page, x: ScoutPhoto): Markup {
  const e = x.exposure, s = e?.shutter_seconds ?? 0,
    shutter = s > 0 && s < 0.4 ? `1/${Math.round(1 / s)} s` : `${r1(s)} s`;
  const said = e && !x.missing ? `f/${r1(e.aperture)}, ${shutter}, ISO ${e.iso}` :
    `Its ${x.missing} ${x.missing.includes(",") || x.missing.endsWith("data") ? "are"
      : "is"} not said: levels are against
      mid-grey, in stops, not cd/m².`;
  return m`<section class="scsec" data-key="scfacts"><p><b>${x.name}</b> ${x.width} × ${x.height}</p><p>${said}</p>
${x.lens_mm > 0 ? m`<p>lens as on full frame ${Math.round(x.lens_mm)} mm</p>` : ""}${x.auto_white ? m`<p
  class="scwarn">Its white balance was automatic: two photographs of one wall may differ in colour.</p>` : ""}
${x.has_gps ? m`<p class="scwarn">The file says where it was taken: mind whom it is sent to.</p>` : ""}
${button(p, "scdrop", "let it go", { cls: "lnk" })}</section>`;
}

const cross = (x: number, y: number, r: number): string =>
  `M${r1(x - r)} ${r1(y)}h${r1(2 * r)}M${r1(x)} ${r1(y - r)}v${r1(2 * r)}`;

/** The photograph with what was pressed in it. */
function picture(p: Page, x: ScoutPhoto): Markup {
  const marks = marksOf(p), W = x.width, H = x.height, u = Math.max(W, H) / 1000,
    px = (v: number): number => (v * W) / 100,
    py = (v: number): number => (v * H) / 100, c = p.scCursor;
  const label = (at: { x: number; y: number }, text: string, key: string, on = false): Markup => {
    const left = at.x > 80, up = at.y > 8;
    return m`<g data-key="${key}" class="scm${on ? " on" : ""}">
      <path class="halo" d="${cross(px(at.x), py(at.y), 11 * u)}"
      stroke-width="${r1(6 * u)}"></path><path d="${cross(px(at.x), py(at.y), 11 * u)}"
        stroke-width="${r1(2 * u)}"></path>
<text x="${r1(px(at.x) + (left ? -14 : 14) * u)}" y="${r1(py(at.y) + (up ? -8 : 26) * u)}" font-size="${r1(22 * u)}"
  stroke-width="${r1(5 * u)}" text-anchor="${left ? "end" : "start"}">${text}</text></g>`;
  };
  const r = W / 100;
  return m`<svg id="scpic" class="scpic tool-${p.scTool}" data-css="--mark:${r1(58 * u)}px" viewBox="0 0 ${W} ${H}"
  tabindex="0" role="application"
  aria-label="Photograph ${x.name}: press what is to be measured, or move the cross with the arrow keys and
  press Enter">
<image href="/api/scout/picture?id=${x.id}" width="${W}" height="${H}" preserveAspectRatio="none"></image>
${marks.card ? m`<g data-key="card">${label(marks.card, `${marks.known} %`, "cardm")}<rect class="sq" x="${r1(
    px(marks.card.x) - r)}" y="${r1(py(marks.card.y) - r)}" width="${r1(2 * r)}" height="${r1(2 * r)}"
    stroke-width="${r1(2 * u)}"></rect></g>` : ""}
${marks.spots.map((s, i) => label(s, s.target || String(i + 1), `sp${i}`))}
${marks.corners.map((s, i) => label(s, s.place || `corner ${i + 1}?`, `co${i}`, p.scCorner === i))}
${c ? m`<path data-key="cur" class="cur" d="${cross(px(c.x), py(c.y), 20 * u)}" stroke-width="${r1(3 * u)}"></path>`
  : ""}
</svg>`;
}

function tools(p: Page): Markup {
  const x = marksOf(p), tool = (t: typeof p.scTool, words: string): Markup => button(p, `sctool-${t}`, words,
    { on: p.scTool === t }), badCard = x.known !== "" && shareOf(x.known) === null,
    badWhite = x.white !== "" && kelvinOf(x.white) === null;
  const does = { spot: "Press a wall, a sign, a lamp.", card: "Press the card, the paper or the stated white.",
    corner: "Press a corner, then name it." }[p.scTool];
  return m`<section class="scsec" data-key="sctools"><div class="sctl" role="group" aria-label="What a press means">
${tool("spot", "measure")}${tool("card", "card or paper")}${tool("corner", "corner of the room")}</div>
<p role="status">${does}</p><div class="scf"><label>card reflects <input data-act="scknown" data-key="scknown"
    value="${x.known}" autocomplete="off" aria-label="Reflectance of the card, per cent"${badCard
    ? m` aria-invalid="true"` : ""}> %</label>
<label>white in it <input data-act="scwhite" data-key="scwhite" value="${x.white}" placeholder="not known"
  autocomplete="off" aria-label="Colour temperature of the light that is white in it, kelvin"${badWhite
    ? m` aria-invalid="true"` : ""}> K</label>
${x.card ? button(p, "scnocard", "no card", { cls: "lnk" }) : ""}</div>
${badCard ? m`<p class="scwarn">A card reflects over 0 and at most 100 %: a grey card 18, paper about 85.</p>` : ""}
${badWhite ? m`<p class="scwarn">A white is 1500 to 20000 K: the light on the card, or what the camera was set to.</p>`
    : ""}</section>`;
}

const chip = (fill: string): Markup => m`<i class="scchip" data-css="background:${fill}"></i>`;

/** ± in words where it is more than can be told. */
const within = (sd: number): string => `±\u00a0${sd.toFixed(1)} st`;

function spots(p: Page): Markup {
  const x = marksOf(p), r = p.scRead, all = p.scout?.targets ?? [];
  if (!x.spots.length) return m``;
  return m`<section class="scsec" data-key="scspots"><h2>Measured</h2><ol class="scspots">${x.spots.map((s, i) => {
    const read = r?.spots[i];
    return kept(m`<li data-key="spot${i}"><b>${i + 1}</b><div>${read ? says(p, read) : m`<p>measuring</p>`}
<div class="scto">${choose("sctarget", `What spot ${i + 1} is`, [{ value: "", words: "what is it?", on: !s.target },
      ...all.map((t) => ({ value: t.name, words: t.name, on: t.name === s.target }))], { arg: String(i),
      key: `sct${i}` })}
${button(p, "scput", s.taken ? "put in again" : "put into the shoot", { n: i, key: `scput${i}` })}
${button(p, "scunspot", "take out", { n: i, cls: "lnk", key: `scun${i}`, label: `take out spot ${i + 1}` })}</div></div>
</li>`);
  })}</ol>${(r?.notes ?? []).map((n, i) => m`<p class="scwarn" data-key="scn${i}">${n}</p>`)}</section>`;
}

/** One spot in words, each figure with its doubt. */
function says(p: Page, s: Measured): Markup {
  const grey = s.colour.startsWith("#"), [u = 0, v = 0] = s.uv;
  return m`<p class="scfig">${s.luminance === undefined ? m`${minus(s.stops.toFixed(1))} st from mid-grey`
    : m`<b>${figure(s.luminance)} cd/m²</b> ${within(s.luminance_sd_stops ?? 0)}`}${s.clipped > 0.02
    ? m` <b>or more: clipped</b>` : ""}</p>
${s.reflectance === undefined ? "" : m`<p>${grey ? chip(s.colour) : ""}<b>${Math.round(100 * s.reflectance)} %</b>
  ${" "}reflected ${within(s.sd_stops)}, ${s.colour}</p>`}
${s.uv.length ? m`<p>${chip(tint(linearOfUV(u, v), 0.5))}${s.kelvin ? m`<b>${Math.round(s.kelvin / 10) * 10} K</b> `
    : ""}u′\u00a0${u.toFixed(3)}, v′\u00a0${v.toFixed(3)} ±\u00a0${s.uv_sd.toFixed(3)}${p.scRead?.white_kelvin ? ""
    : " against its white"}</p>` : ""}`;
}

/** Three figures of what spans many powers of ten. */
const figure = (v: number): string => (v >= 1000 ? String(Math.round(v / 10 ** (Math.floor(Math.log10(v)) - 2)) *
  10 ** (Math.floor(Math.log10(v)) - 2)) : Number(v.toPrecision(3)).toString());

function lights(p: Page): Markup {
  const l = p.scLights, said = kelvinOf(marksOf(p).white) !== null;
  return m`<section class="scsec" data-key="sclight"><h2>Colours of light here</h2>${l ? m`<ol class="sclights">
${l.lights.map((x, i) => m`<li data-key="l${i}">${chip(tint(x.tint, 0.5))}<div><b>${x.light.words}</b>
${x.light.luminance ? m` ${figure(x.light.luminance)} cd/m²` : ""}<p>u′\u00a0${x.light.uv[0].toFixed(3)}, v′\u00a0
  ${x.light.uv[1].toFixed(3)} ±\u00a0${x.light.uv_sd.toFixed(3)}</p>
<p>${x.head ? m`${[x.head, ...x.gels].join(" + ")}: off by ${x.delta_uv.toFixed(3)}, ${Math.max(0,
      x.loss_stops).toFixed(1)} st lost` : "nothing of the kit makes it"}</p></div></li>`)}</ol>
${l.lights.length ? "" : m`<p>No light in it is bright enough to tell a colour.</p>`}${l.hidden > 0.01 ? m`<p
  class="scwarn">${Math.round(100 * l.hidden)} % of the picture is clipped: what shines there has no colour in
    it. Take one
  more with three stops less.</p>` : ""}` : button(p, "sclights", "find them")}${l && !said
    ? m`<p class="scwarn">The white
  is not stated: colours are against it, and what makes them is a guess.</p>` : ""}</section>`;
}

/** What is assumed of the place, the most influential first. */
function assumed(p: Page): Markup {
  const list = p.readings?.assumed ?? [];
  return m`<div class="scassumed" data-key="assumed"><h2>What the file leaves open</h2>
    ${list.length ? m`<table><thead><tr>
<th scope="col">assumed</th><th scope="col">may move</th><th scope="col">by, one standard deviation</th></tr></thead>
<tbody>${list.map((a, i) => m`<tr data-key="as${i}"><th scope="row">${a.words}</th><td>${a.point}</td>
<td><b>±\u00a0${a.stops.toFixed(2)} st</b></td></tr>`)}</tbody></table><p>A photograph with a grey card says what a wall
reflects; a meter reading says it too. What moves a reading by less than 0.05 st is not listed.</p>` : m`<p>${p.readings
    ? "Nothing is assumed that moves a reading by 0.05 st or more." : "The readings are not there yet."}</p>`}
<p>${p.view ? m`Of the setup ${p.view.name}.` : ""} ${p.scout?.ceiling ? m`The ceiling is at ${length(p.scout.ceiling,
    p.units)}.` : ""}</p></div>`;
}
