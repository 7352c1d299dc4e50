// A phone's scan on the Scout screen: what was found in it, what must be asked back, its plan.
import type { ScanView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, r1, type Markup } from "../units/markup.ts";
import { drawn, length } from "../units/measures.ts";
import { plain } from "../units/stops.ts";
import { button, choose } from "./button.ts";

export const scanChooser = (): Markup => m`<label class="scfile"><input type="file" class="vh" data-scfile="" multiple
  data-key="scscanfile" accept=".glb,.gltf,.obj,.mtl,.jpg,.jpeg,.png,.ply,.stl"><span>choose a scan</span></label>`;

export function scanPart(p: Page): Markup {
  const x = p.scScan;
  if (!x) return m`<div class="scdrop" data-key="scscanempty"><h2>Drop a phone’s scan of the room here, or choose
    it.</h2><p>GLB, glTF with its data inside, OBJ (with its .mtl and textures, all at once), PLY or STL: up to 256 MiB
    and four million triangles. Floor, ceiling and walls are found in it, and what stands in the room. It stays on this
    machine.</p></div>`;
  return m`<div class="scscan" data-key="scscan">${x.found ? plan(p, x) : ""}</div>
<div class="scside" tabindex="0" role="group" aria-label="What the scan says">${found(p, x)}${frame(p, x)}${x.found
    ? m`${surfaces(x)}${cuts(p, x)}${put(p, x)}` : ""}</div>`;
}

const many = (n: number): string => String(n).replace(/\B(?=(\d{3})+$)/g, "\u202f");

function found(p: Page, x: ScanView): Markup {
  const f = x.found;
  if (!f) return m`<section class="scsec" data-key="scanfound"><p><b>${x.name}</b> ${x.format}</p><p class="scwarn"
    role="alert">${x.why}</p><p>All that is in it is ${x.size.map((v) => plain(v, 4)).join(" × ")} of its own unit.</p>
    ${button(p, "scandrop", "let it go", { cls: "lnk" })}</section>`;
  const w = Math.max(...f.outline.map((c) => c[0])), d = Math.max(...f.outline.map((c) => c[1])),
    seen = Math.round(100 * f.floor_seen);
  return m`<section class="scsec" data-key="scanfound"><p><b>${x.name}</b> ${x.format}, ${many(f.triangles)}${" "}
  triangles</p><p class="scfig">A room of <b>${length(w, p.units)} × ${length(d, p.units)}</b>, ${f.shape},${" "}
  <b>${length(f.ceiling, p.units)}</b> high.</p>
<p>The scan covers ${seen} % of the floor.${seen < 80
    ? " Much of it is missing: hold the outline against a tape." : ""}</p>
<p>
${f.things_triangles ? m`What stands in it: ${many(f.things_triangles)} triangles, no corner moved by more than
  ${" "}${plain(1000 * f.corner_moved_most, 0)} mm.` : "Nothing stands in it."}</p>
${(f.left ?? []).map((l, i) => m`<p class="scwarn" data-key="left${i}">Left out: ${l}.</p>`)}
<p>Holes in walls, floor and ceiling are closed: they are drawn from the outline. Doors and windows are put in by
  hand.</p>
${button(p, "scandrop", "let it go", { cls: "lnk" })}</section>`;
}

type Words = readonly (readonly [string, string])[];

const unitWords: Words = [["m", "metres"], ["cm", "centimetres"], ["mm", "millimetres"], ["ft", "feet"],
  ["in", "inches"]];
const upWords: Words = [["z+", "z"], ["y+", "y"], ["x+", "x"], ["z-", "z, upside down"], ["y-", "y, upside down"],
  ["x-", "x, upside down"]];

/** Unit, up and which way round: asked back where they are a guess. */
function frame(p: Page, x: ScanView): Markup {
  const f = x.found, guess = (sure: boolean | undefined, said: string | undefined): string =>
    said ? "as you say" : sure ? "found, sure" : f ? "a guess: is it so?" : "say it";
  const unit = f?.unit ?? x.ask.unit ?? "", up = f?.up ?? x.ask.up ?? "",
    list = (words: Words, at: string) => [...(at ? [] : [{ value: "", words: "?",
      on: true }]), ...words.map(([value, w]) => ({ value, words: w, on: value === at }))];
  return m`<section class="scsec" data-key="scanframe"><h2>Unit and direction</h2>
<div class="scf"><label>it is in ${choose("scanunit", "Unit of the file", list(unitWords, unit))}</label>
<span data-key="unitsaid">${guess(f?.unit_sure, x.ask.unit)}</span></div>
<div class="scf"><label>up is ${choose("scanup", "Which way is up in the file", list(upWords, up))}</label>
<span data-key="upsaid">${guess(f?.up_sure, x.ask.up)}</span></div>
${f && !(f.unit_sure && f.up_sure) ? m`<div class="scto">${button(p, "scansure", "it is so")}</div>` : ""}
${f ? m`<p>${Math.abs(f.turned_degrees) < 0.05 ? "Its walls run along the plan as scanned."
    : `Turned by ${plain(f.turned_degrees, 1)}° so that walls run along the plan.`} ${button(p, "scanturn",
    "turn it by a quarter", { cls: "lnk" })}</p>` : ""}
${x.off === null ? "" : m`<p data-key="scanoff">${x.off < 0.15 ? m`Its walls lie within <b>${plain(100 * x.off,
    0)} cm</b> of the room that is there.` : m`Its walls are up to <b>${length(x.off, p.units)}</b> off the room that is
  there: another room, another unit, or one of them is wrong.`}${x.twin
    ? " Turned by half it fits as well: look which way round it is." : ""}</p>`}
</section>`;
}

function surfaces(x: ScanView): Markup {
  const s = x.found?.surfaces ?? {}, names = ["walls", "floor", "ceiling", "things"].filter((k) => s[k]);
  return m`<section class="scsec" data-key="scansurf"><h2>Surfaces</h2>${names.length ? m`<div class="scf">
<label>the ${choose("scanpart", "Surface of known reflectance", ["ceiling", "walls", "floor"].map((k) => ({ value: k,
    words: k, on: k === x.ask.part })))}</label><label>reflects <input data-act="scanknown" data-key="scanknown"
  value="${plain(100 * x.ask.reflectance, 1)}" autocomplete="off" aria-label="Its reflectance, per cent"> %</label>
  </div>
${names.map((k) => m`<p data-key="ss${k}"><i class="scchip" data-css="background:${s[k] ?? ""}"></i>${k === "things"
    ? "what stands in it" : k} ${s[k] ?? ""}</p>`)}` : m`<p>The scan has no colours: say what walls, floor and ceiling
  are
  on the plan, or press them in a photograph.</p>`}</section>`;
}

function cuts(p: Page, x: ScanView): Markup {
  return m`<section class="scsec" data-key="scancuts"><h2>People and rubbish</h2><p>Draw a box on the plan over what
  shall not be in it, or type one.</p><div class="scf"><label>x, y, z, x, y, z <input class="wide" data-act="scancut"
  data-key="scancut" value="" placeholder="0, 0, 0, 1, 1, 2" autocomplete="off"
  aria-label="Box to take away: low and high corner, metres"> m</label></div>
${x.ask.cut.map((b, i) => m`<p data-key="cut${i}">${b.map((v) => plain(v, 2)).join(", ")} m ${button(p, "scanuncut",
    "put back", { n: i, cls: "lnk", key: `uncut${i}`, label: `put back what lay in box ${i + 1}` })}</p>`)}</section>`;
}

function put(p: Page, x: ScanView): Markup {
  const room = p.scout?.outline.length, things = (x.found?.things_triangles ?? 0) > 0;
  return m`<section class="scsec" data-key="scanput"><h2>Into the shoot</h2><div class="scto">${button(p, "scanwrite",
    "write it as the room")}${room && things ? button(p, "scankeep", "only what stands in it") : ""}</div>
${room ? m`<p class="scwarn">As the room it takes the place of the outline that is there; doors, windows and lamps keep
  their places. ${things ? "Only what stands in it keeps the room by tape." : ""}</p>` : ""}
<p>${things ? "The mesh is written beside the shoot as scan.ply, under another name where one is there." : ""}${" "}
  Hold the plan against a tape before you trust it.</p></section>`;
}

/** The plan of what was found, y up as on the desk. */
function plan(p: Page, x: ScanView): Markup {
  const tape = x.off === null ? [] : p.scout?.outline ?? [], lo = [Math.min(...tape.map((c) => c[0])),
    Math.min(...tape.map((c) => c[1]))] as const, there = tape.map((c): [number, number] => [c[0] - lo[0],
    c[1] - lo[1]]);
  const f = x.found, o = f?.outline ?? [], w = Math.max(0.5, ...o.map((c) => c[0])),
    d = Math.max(0.5, ...o.map((c) => c[1])), W = Math.max(w, ...there.map((c) => c[0])),
    D = Math.max(d, ...there.map((c) => c[1])), s = Math.min(640 / W, 520 / D), X = (v: number): number => 40 + v * s,
    Y = (v: number): number => 30 + (D - v) * s, path = (list: readonly (readonly [number, number])[]): string =>
      `M${list.map((c) => `${r1(X(c[0]))} ${r1(Y(c[1]))}`).join("L")}Z`;
  const rect = (b: readonly number[], cls: string, key: string): Markup => {
    const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = b;
    return m`<rect data-key="${key}" class="${cls}" x="${r1(X(x0))}" y="${r1(Y(y1))}" width="${r1((x1 - x0) * s)}"
      height="${r1((y1 - y0) * s)}"></rect>`;
  };
  return m`<svg id="scanplan" class="scanplan" viewBox="0 0 ${r1(W * s + 80)} ${r1(D * s + 60)}" role="img"
  data-x="40" data-y="${r1(30 + D * s)}" data-s="${s.toFixed(3)}"
  aria-label="Plan of the scan, ${length(w, p.units)} by ${length(d, p.units)}, with what stands in it">
<path class="flr" d="${path(o)}"></path>
<path class="thg" d="${x.seen.map((r) => `M${r1(X(r[0]))} ${r1(Y(r[1] + 0.05))}h${r1(r[2] * s)}v${r1(0.05
    * s)}h${r1(-r[2] * s)}z`).join("")}"></path>
<path class="wall" d="${path(o)}"></path>${there.length ? m`<path class="tape" d="${path(there)}"></path>` : ""}
${x.ask.cut.map((b, i) => rect([b[0], b[1], b[3], b[4]], "cutbox", `cb${i}`))}
${p.scBox ? rect(p.scBox, "cutbox now", "cbnow") : ""}
<text x="${r1(X(w / 2))}" y="${r1(Y(0) + 20)}">${drawn(w, p.units, true)}</text>
<text x="16" y="${r1(Y(d / 2))}" transform="rotate(-90 16 ${r1(Y(d / 2))})">${drawn(d, p.units, true)}</text></svg>
<p data-key="scanlegend">${length(w, p.units)} × ${length(d, p.units)} as scanned${there.length
    ? ", solid; the room that is there, dashed" : ""}</p>`;
}
