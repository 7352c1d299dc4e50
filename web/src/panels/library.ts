// The Library: contact sheets of setups with the numbers that matter, facets, what looks alike, two held
// against each other, a record lit again in this room.
import { sameRef } from "../actions/library.ts";
import type { Comparison, LibraryHit, RelightView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { kept, m, type Markup } from "../units/markup.ts";
import { said } from "../units/measures.ts";
import { button } from "./button.ts";

const signed = (x: number, digits = 1): string => `${x < 0 ? "−" : "+"}${Math.abs(x).toFixed(digits)}`;
const lower = (x: string): string => x.charAt(0).toLowerCase() + x.slice(1);

export function libraryScreen(p: Page): Markup {
  return m`${head(p)}<div class="libmain">${facets(p)}<div class="libsheets" tabindex="0" role="group"
    aria-label="Setups found">${p.relit || p.libBusy === "relight" ? again(p) : p.libMarks.length ? against(p) : ""}
    ${sheets(p)}</div></div>`;
}

function head(p: Page): Markup {
  const v = p.library, busy = { find: "reading the folder", compare: "holding them against each other",
    relight: "lighting it again", "": "" }[p.libBusy];
  return m`<div class="libhead"><label class="lf">Find <input type="search" data-act="libfind" data-key="libfind"
    value="${p.libQuery}" autocomplete="off" spellcheck="false"
    placeholder="low key one light ceiling &lt; 2.4 m red practical"></label>
<label class="lf folder">In <input type="text" data-act="libfolder" data-key="libfolder"
    value="${p.libFolder || v?.folder || ""}" autocomplete="off" spellcheck="false"
    placeholder="whole name of a folder of shoots and records"></label>
<span class="ds" role="status" data-key="libsay">${busy ? m`${busy}
  ${p.libDone > 0 ? `, ${Math.round(100 * p.libDone)} %` : ""} ${button(p, "libstop", "stop",
  { cls: "lnk" })}` : p.libFailed || v?.problem || foundSay(p)}</span></div>`;
}

function foundSay(p: Page): string {
  const v = p.library;
  if (!v) return "";
  if (p.libLike) return `what looks like ${p.libLike.setup}, nearest first`;
  const asked = v.understood.length ? ` (understood: ${v.understood.join(", ")})` : "";
  return v.exact || !v.understood.length ? `${v.hits.length} of ${v.setups} setups${asked}` :
    v.hits.length ? `nothing has all of it${asked}; the nearest come first` : `nothing in ${v.setups} setups${asked}`;
}

function facets(p: Page): Markup {
  const list = p.library?.facets ?? [];
  const picked = p.libPicks.map((x) => x.replace("=", " ")).join(", "),
    fold = m`Narrow by ${list.map((f) => f.name).join(", ")}${picked ? m` <b>${picked}</b>` : ""}`;
  return m`<nav class="facets${p.libFacets ? "" : " shut"}" aria-label="Narrow by">
    ${button(p, "libfacets", fold, { on: p.libFacets, cls: "fold", title: "" })}
    ${p.libLike ? button(p, "liball", "back to what was asked", { cls: "lnk" }) : ""}
    ${list.map((f) => m`<div data-key="fa${f.name}"><h2>${f.name}</h2>
    ${f.bins.map((b) => button(p, "libpick", m`${b.value} <small>${b.count}</small>`,
    { arg: `${f.name}=${b.value}`, on: b.on, title: "" }))}</div>`)}</nav>`;
}

/** The numbers that matter of a setup, each with its unit. */
function numbers(p: Page, h: LibraryHit): string {
  return [h.lights === 1 ? "1 light" : `${h.lights} lights`, h.ratio > 0 ? `${h.ratio.toFixed(1)}:1` : "", h.pattern,
    h.level_stops ? `mean ${signed(h.level_stops)} st` : "", h.lens_mm > 0 ? `${Math.round(h.lens_mm)} mm` : "",
    h.ceiling_m > 0 ? `ceiling ${said(`${h.ceiling_m.toFixed(2)} m`, p.units)}` : h.area_m2 > 0 ? "no ceiling" : "",
    h.area_m2 > 0 ? `${Math.round(h.area_m2)} m²` : "", h.haze ? "haze" : ""].filter(Boolean).join(" · ");
}

function sheets(p: Page): Markup {
  const v = p.library;
  if (!v) return m``;
  return m`<ol class="contact">${v.hits.map((h, i) => {
    const ref = { file: h.file, setup: h.setup }, marked = p.libMarks.some((x) => sameRef(x, ref)),
      at = { path: h.file, arg: h.setup }, key = `${i}`;
    return kept(m`<li class="cs${marked ? " on" : ""}" data-key="cs${i} ${h.file} ${h.setup}"><div class="csp">
      ${h.picture ? m`<img loading="lazy" src="/api/library/picture?file=${encodeURIComponent(h.file)}"
        alt="The picture of ${h.setup} as computed">` : m`<span>not recorded: no picture</span>`}</div>
<b>${h.setup}</b><p class="csw">${[h.shoot, h.date, h.recorded ? "record" : "plan"].filter(Boolean).join(" · ")}</p>
<p>${numbers(p, h)}</p>${h.kit.length ? m`<p class="csk">${h.kit.join(", ")}</p>` : ""}${h.lacks.length ? m`<p
  class="csl">not: ${h.lacks.join(", ")}</p>` : ""}<p class="csf">${h.file}</p><div class="acts">
${button(p, "liblike", "alike", { ...at, key: `la${key}`, label: `alike: ${h.setup}`, cls: "lnk" })}
${button(p, "libmark", marked ? "marked" : "compare", { ...at, key: `lm${key}`, on: marked, cls: "lnk",
  label: `${marked ? "marked" : "compare"}: ${h.setup}` })}${h.recorded ? button(p, "librelight", "light it again here",
  { path: h.file, key: `lr${key}`, cls: "lnk", label: `light it again here: ${h.setup}` }) : ""}</div></li>`);
  })}</ol>${v.hits.length === 0 && !v.problem && !p.libBusy ? m`<p class="none">No setups here.</p>` :
  ""}${v.skipped.map((x, i) => m`<p class="none" data-key="sk${i}">${x}</p>`)}`;
}

/** Two setups held against each other. */
function against(p: Page): Markup {
  const [a, b] = p.libMarks, c = p.compared, shut = button(p, "libclose", "close", { cls: "lnk" }),
    name = (x: typeof a): string => (x ? x.setup + (x.file ? "" : ", on the desk") : "");
  return m`<section class="libwork" data-key="against" aria-label="Compare"><div class="hd">
  <h2>${b ? `${name(b)} against ${name(a)}` : `${name(a)}: against which?`}</h2>${b ? "" :
  button(p, "libdesk", "the setup on the desk", { cls: "lnk" })}${shut}</div>${c ? comparison(p, c) : ""}</section>`;
}

function comparison(p: Page, c: Comparison): Markup {
  const w = c.why, how = w?.exact ? "Each change’s mean effect over all orders (Shapley)" :
    "Too many changes for every order: each first and last, averaged";
  return m`<ul class="diff">${c.differences.length ? c.differences.map((d, i) => m`<li data-key="d${i}">${d.words}
    </li>`) : m`<li>Nothing differs that a meter or an eye would tell.</li>`}</ul>
${c.points.length ? m`<table><caption>Level in the picture by point</caption><thead><tr><th scope="col">point</th>
  <th scope="col">${c.a}</th><th scope="col">${c.b}</th><th scope="col">difference, st</th></tr></thead><tbody>
  ${c.points.map((x) => m`<tr><th scope="row">${x.name}</th><td>${x.a}</td><td>${x.b}</td>
  <td>${signed(x.stops)}</td></tr>`)}</tbody></table>` : ""}
<div class="acts whys">What made it ${["softer", "brighter", "warmer"].map((x) => button(p, "libwhy", `${x}?`,
  { arg: x, on: w?.asked === x }))}</div>
${w ? m`<table><caption>${w.of}: ${signed(w.a, 2)} ${w.unit} before, ${signed(w.b, 2)} ${w.unit} now.${` ${how}`}
  </caption><thead><tr><th scope="col">change</th><th scope="col">${w.unit}</th>${w.asked === "softer" ? m`<th
  scope="col">edge of the nose’s shadow, mm</th>` : ""}</tr></thead><tbody>${w.parts.map((x) => m`<tr><th
  scope="row">${x.change}</th><td>${signed(x.brings, 2)}</td>${w.asked === "softer" ? m`<td>
  ${signed(x.edge_mm ?? 0)}</td>` : ""}</tr>`)}</tbody></table>${(w.notes ?? []).map((x) => m`<p class="none">${x}
  </p>`)}` : ""}`;
}

/** A record lit again in the room of this shoot. */
function again(p: Page): Markup {
  const r = p.relit;
  if (!r) return m`<section class="libwork" data-key="again" aria-label="Light again"><div class="hd">
    <h2>Lighting it again here</h2></div></section>`;
  return m`<section class="libwork" data-key="again" aria-label="Light again"><div class="hd"><h2>
  ${r.relit.setup}, lit again here${r.relit.mirrored ? ", left and right changed" : ""}</h2>
  ${button(p, "libtake", "take it into the shoot", { cls: "go" })}${button(p, "libclose", "close", { cls: "lnk" })}
  </div>${r.nobody ? m`<p class="csl" role="alert">${r.nobody}. What stands here is the nearest that there is.</p>` :
  ""}<div class="twoframes">${r.old_picture ? m`<figure>
  <img src="/api/library/picture?file=${encodeURIComponent(p.relitOf)}"
  alt="The old picture, as recorded"><figcaption>as recorded</figcaption></figure>` : ""}${r.new_picture ? m`<figure>
  <img src="/api/library/relit?id=${r.id}" alt="The picture here"><figcaption>here</figcaption></figure>` : ""}</div>
${relitSays(r)}</section>`;
}

function relitSays(r: RelightView): Markup {
  const x = r.relit, list = (title: string, key: string, of: readonly string[]): Markup => (of.length ? m`<h3>
    ${title}</h3><ul class="diff">${of.map((t, i) => m`<li data-key="${key}${i}">${t}</li>`)}</ul>` : m``);
  return m`<div class="relits"><div>${list("What is different, by its effect", "w", x.differences)}${list(
    "What the kit and the room cannot do", "n", x.notes)}${list("Missed", "m", x.missed)}${list("Set", "s",
    x.settings)}</div><div><table><caption>What remains by point</caption><thead><tr><th scope="col">point</th>
<th scope="col">before</th><th scope="col">here</th><th scope="col">in the picture, st</th></tr></thead><tbody>
${(x.points ?? []).map((y) => m`<tr><th scope="row">${y.name}</th><td>${y.old}</td><td>${y.new}</td>
<td>${signed(y.stops)}</td></tr>`)}</tbody></table>${x.regions?.length ? m`<table><caption>What remains by region
  </caption><thead><tr><th scope="col">region</th><th scope="col">st</th><th scope="col">ΔE2000</th></tr></thead>
  <tbody>${x.regions.map((y) => m`<tr><th scope="row">${lower(y.name)}</th><td>${signed(y.stops)}</td>
  <td>${y.delta_e_2000.toFixed(1)}</td></tr>`)}</tbody></table>` : ""}</div></div>`;
}
