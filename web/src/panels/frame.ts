// The column of the picture: views, tools, the spot that was read, histogram, camera strip.
import { layersAt } from "../draw/mix.ts";
import { isWhole, typeAt } from "../model/crop.ts";
import { spotLevel } from "../model/spot.ts";
import type { CameraView, CoverView, Dialled, LightView, SetupView } from "../model/wire.ts";
import { trialOf, type Page } from "../state/store.ts";
import { tint } from "../units/colour.ts";
import { m, type Markup } from "../units/markup.ts";
import { drawn, length } from "../units/measures.ts";
import { fParts, metres, minus, plain, signed } from "../units/stops.ts";

export function views(p: Page, chip: (l: LightView, on: boolean) => string): Markup {
  const b = (kind: string, arg: string, on: boolean, words: string, l?: LightView) =>
    m`<button data-act="frame" data-arg="${kind}" data-path="${arg}" data-key="v-${kind}-${arg}" class="${on ? "on" : ""}" aria-pressed="${on ? "true" : "false"}" title="${l ? `${l.name} alone` : words}">${l ? m`<u data-css="background:${chip(l, on)}"></u>` : ""}${words}</button>`;
  const lights = (p.view?.lights ?? []).filter((l) => l.layer >= 0);
  const alone = m`<label class="alone${p.frame === "light" ? " on" : ""}"><select data-act="viewsel" data-key="viewsel" aria-label="One light alone"><option value="">one light…</option>${lights.map((l) => m`<option value="${l.path}" ${p.frame === "light" && p.frameLight === l.path ? m`selected` : ""}>${shortName(l)}</option>`)}</select></label>`;
  return m`${b("picture", "", p.frame === "picture", "Picture")}${b("stops", "", p.frame === "stops", "Stops")}${alone}${lights.map((l) => b("light", l.path, p.frame === "light" && p.frameLight === l.path, shortName(l), l))}`;
}

const shortName = (l: LightView): string => {
  const t = l.role && !l.house ? l.role : l.name;
  const c = t.charAt(0).toUpperCase() + t.slice(1);
  return c.length > 13 ? `${c.slice(0, 12).trimEnd()}…` : c;
};

/** What may lie beside or on the picture. */
export function tools(p: Page): Markup {
  const c = p.compare, b = (act: string, arg: string, on: boolean, words: string, more = "") => m`<button data-act="${act}" data-arg="${arg}" data-key="t-${act}${arg}" class="${on ? "on" : ""}" aria-pressed="${on ? "true" : "false"}"${more ? m` title="${more}"` : ""}>${words}</button>`;
  const names = p.state?.setups ?? [], others = names.map((x, i) => ({ x, i })).filter(({ i }) => i !== p.setup);
  return m`${b("beside", "", c?.with === "before", "Before", p.before ? `what was before: ${p.state?.undo ?? ""}; Space shows it alone` : "nothing was changed yet")}${others.length ? m`<label class="${c?.with === "setup" ? "on" : ""}"><select data-act="compare" data-key="t-compare" aria-label="Another setup beside"><option value="-1">beside…</option>${others.map(({ x, i }) => m`<option value="${i}" ${c?.with === "setup" && c.setup === i ? m`selected` : ""}>${x.name}</option>`)}</select></label>` : ""}${b("tool", "crop", p.tool === "crop", "Crop")}${b("tool", "cover", p.tool === "cover", "Cover")}`;
}

const shapes: readonly (readonly [string, number])[] = [["2:3", 2 / 3], ["3:4", 3 / 4], ["4:5", 4 / 5], ["A series", Math.SQRT1_2], ["1:1", 1], ["3:2", 3 / 2], ["16:9", 16 / 9]];

/** Fields of the tool that is open. */
export function toolPanel(p: Page): Markup {
  const v = p.view, c = v?.camera;
  if (!v || !c || !p.tool) return m``;
  if (p.tool === "crop") {
    const k = p.drag?.crop ?? c.crop, frame = c.sensor_width / c.sensor_height, wide = (k[2] - k[0]) * frame, shape = wide / (k[3] - k[1]);
    const near = shapes.find(([, s]) => Math.abs(s / shape - 1) < 0.012);
    return m`<div class="toolp"><span class="grow">${isWhole(k) ? "The whole frame is used." : `${Math.round((k[2] - k[0]) * (k[3] - k[1]) * 100)} % of the frame, ${near ? near[0] : `1 : ${(1 / shape).toFixed(2)}`}.`} Drag the handles; Shift keeps the shape.</span><span class="shapes">${shapes.map(([w, s]) => m`<button data-act="shape" data-arg="${plain(s, 5)}" data-key="sh-${w}" class="${near?.[0] === w && !isWhole(k) ? "on" : ""}">${w}</button>`)}<button data-act="shape" data-arg="0" data-key="sh-all">whole</button></span></div>`;
  }
  const k = v.cover;
  const f = (key: string, words: string, value: number) => m`<label>${words}<input data-act="cover" data-arg="${key}" data-key="cov-${key}" inputmode="decimal" value="${plain(value * 100, 1)} %" aria-label="${words}"></label>`;
  return m`<div class="toolp"><button data-act="cover" data-arg="on" data-key="cov-on" aria-pressed="${k ? "true" : "false"}">${k ? "no cover" : "this picture is for a cover"}</button>${k ? m`${f("title", "title", k.title)}${f("margin", "margin", k.margin)}${f("column", "lines", k.column)}<label>at<select data-act="cover" data-arg="lines" data-key="cov-lines" aria-label="side of the cover lines">${["left", "right", "both", "none"].map((x) => m`<option ${x === k.lines ? m`selected` : ""}>${x}</option>`)}</select></label>` : m`<span class="grow">Press it to see where title and lines will stand, inside the crop.</span>`}${k ? m`<span class="grow" role="status">${typeOver(v, k)}</span>` : ""}</div>`;
}

/** What of the face the cover's type would lie on. */
function typeOver(v: SetupView, k: CoverView): string {
  const c = v.camera?.crop ?? [0, 0, 1, 1], hit = v.points.filter((q) => q.sitter && q.picture && /face|forehead|chin|hair/.test(q.name)).flatMap((q) => {
    const z = typeAt(k, ((q.picture?.[0] ?? 0) - c[0]) / (c[2] - c[0]), ((q.picture?.[1] ?? 0) - c[1]) / (c[3] - c[1]));
    return z ? [`${z} over ${q.name}`] : [];
  });
  return hit.length ? `${hit.slice(0, 2).join(", ")}${hit.length > 2 ? " and more" : ""}.` : "The face is clear of the type.";
}

const big = (f: number): Markup => { const [w, t] = fParts(f); return m`<b class="fn"><i>f/</i>${w}<sup>${t}</sup></b>`; };

/** The spot that was read: at once from the picture, then from light that was traced for it. */
export function spotCard(p: Page): Markup {
  const s = p.spot, v = p.view;
  if (!s || !v) return m``;
  const k = p.state?.house.meter.reflected_constant ?? 12.5;
  const traced = s.reading.lights.length > 0 && s.revision === v.revision && !p.drag && p.trial.k.size === 0 && !p.solo;
  const live = p.film ? spotLevel(v, trialOf(p), p.solo, layersAt(p.film, s.x, s.y), k) : null;
  const r = s.reading, stops = traced || !live ? r.stops ?? Number.NaN : live.stops, f = traced || !live ? r.f_number : live.f;
  const lights = traced ? r.lights.map((x) => ({ light: v.lights.find((l) => l.name === x.name), name: x.name, share: x.share, stops: r.stops === null ? Number.NaN : r.stops + Math.log2(Math.max(1e-9, x.share)) })) : (live?.lights ?? []).map((x) => ({ light: x.light as LightView | undefined, name: x.light.name, share: x.share, stops: x.stops }));
  const most = lights.filter((l) => l.share > 0.005).sort((a, b) => b.share - a.share).slice(0, 5);
  const y = p.theme === "booth" ? 0.5 : 0.2;
  return m`<div class="spot"><div class="sh" role="status">${big(f)} <span>${Number.isFinite(stops) ? `${signed(stops)} stops` : "dark"}${traced && r.uncertainty_stops > 0.15 ? ` ±${r.uncertainty_stops.toFixed(1)}` : ""}<small>${traced ? "reflected" : "reflected, from the picture"}${s.metres ? `, ${length(s.metres, p.units)} away` : ""}</small></span><span class="end">${s.at ? m`<input id="spotname" data-key="sp-name" placeholder="name" aria-label="Name of the point to keep" autocomplete="off" size="7"><button data-act="keep" data-key="sp-keep" aria-label="keep as point" title="keep as point">keep</button><button data-act="focusspot" data-key="sp-focus" aria-label="focus here" title="focus here">focus</button>` : ""}<button data-act="unspot" data-key="sp-close" aria-label="Close the reading">close</button></span></div><ul class="by" aria-label="Which light did it">${most.map((l) => m`<li><u data-css="background:${l.light ? tint(l.light.tint, y) : "#999"};width:${Math.max(2, Math.round(l.share * 64))}px"></u>${l.name}<b>${Math.round(l.share * 100)} %</b><span>${signed(l.stops)} st alone</span></li>`)}</ul></div>`;
}

/** The camera's settings; under each what a press of + does to flash and to continuous light, in stops. */
export function cameraStrip(c: CameraView, p: Page): Markup {
  const t = p.trial;
  const show = (d: Dialled, tried: number | undefined) => (tried === undefined ? d.text : d.steps.find((s) => s.value === tried)?.text ?? d.text);
  const next = (d: Dialled) => d.steps.filter((s) => s.stops > 0.01).sort((a, b) => a.stops - b.stops)[0];
  const effect = (d: Dialled, flash: boolean) => { const s = next(d); return s === undefined ? "end" : flash ? signed(s.stops) : "0.0"; };
  const field = (key: string, name: string, value: string, unit = "", size = 0) => m`<div class="v"><input data-act="camera" data-arg="${key}" data-key="cam-${key}" value="${value}" aria-label="${name}" autocomplete="off" spellcheck="false"${size ? m` size="${size}"` : ""}>${unit ? m`<small>${unit}</small>` : ""}</div>`;
  const press = (act: string, key: string, name: string, less: string, more: string) => m`<div class="st"><button data-act="${act}" data-arg="${key}" data-n="-1" data-key="${key}-" aria-label="${name} ${less}">\u2212</button><button data-act="${act}" data-arg="${key}" data-n="1" data-key="${key}+" aria-label="${name} ${more}">+</button></div>`;
  const does = (a: string, av: string, b: string, bv: string) => m`<div class="ef"><div>${a}<b>${av}</b></div><div>${b}<b>${bv}</b></div></div>`;
  const dial = (key: "iso" | "shutter" | "aperture", name: string, d: Dialled, text: string, flashToo: boolean) => m`<div class="ce">${m`<div class="cap">${name}</div>`}${field(key, name, text)}${press("dial", key, name, "darker", `brighter: flash ${effect(d, flashToo)}, continuous ${effect(d, true)} stops`)}${does("flash", effect(d, flashToo), "cont.", effect(d, true))}</div>`;
  const shutter = t.shutter ?? c.shutter.value, over = c.sync > 0 && shutter < c.sync * 0.98;
  const wide = (2 * Math.atan(c.sensor_width / 2 / c.image) * 180) / Math.PI, focused = c.focus_text === "" ? "near eye" : c.focus_text.startsWith("[") ? "a place" : c.focus_text;
  const names = [...new Set(["sitter.eyes", "sitter.face", "sitter.hands", ...(p.view?.points ?? []).filter((q) => q.path).map((q) => `points.${q.name}`), ...(c.focus_text && !c.focus_text.startsWith("[") ? [c.focus_text] : [])])];
  return m`${dial("iso", "ISO", c.iso, show(c.iso, t.iso).replace(/^ISO /, ""), true)}${dial("shutter", "Shutter", c.shutter, show(c.shutter, t.shutter).replace(/ s$/, ""), false)}${dial("aperture", "Aperture", c.aperture, show(c.aperture, t.aperture), true)}
<div class="ce"><div class="cap">White bal.</div>${field("white balance", "White balance", minus(c.white_balance.replace(/ K$/, "")), /K$/.test(c.white_balance) ? "K" : "")}${press("wb", "wb", "White balance", "cooler picture", "warmer picture")}${does("by", "8 mired", "all", "warmer")}</div>
<div class="ce"><div class="cap">Lens</div>${field("lens", "Focal length", plain(c.lens * 1000, 0), "mm")}${press("lens", "lens", "Lens", "wider", "longer")}${does("across", `${wide.toFixed(0)}°`, "light", "0.0")}</div>
<div class="ce fo"><div class="cap">Focus</div><label class="v"><span>${p.units.lengths === "feet" ? drawn(c.focus, p.units) : m`${metres(c.focus)}<small>m</small>`}</span><select data-act="focus" data-key="cam-focus" aria-label="Focus on, now ${focused}"><option value="" ${c.focus_text ? "" : m`selected`}>near eye</option>${names.map((n) => m`<option value="${n}" ${n === c.focus_text ? m`selected` : ""}>${n.replace(/^(sitter|points)\./, "")}</option>`)}${c.focus_text.startsWith("[") ? m`<option value="" disabled selected>a place</option>` : ""}${(p.units.lengths === "feet" ? [3, 5, 7, 10, 15].map((n) => `${n} ft`) : [1, 1.5, 2, 3, 5].map((n) => `${n} m`)).map((t) => m`<option value="${t}">at ${t}</option>`)}</select></label>${does("sharp", drawn(c.near, p.units, true), "to", c.far === null ? "horizon" : drawn(c.far, p.units, true))}</div>${over ? m`<p class="sync" role="status">The shutter is shorter than the sync time ${c.sync_text}: flash reaches ${Math.round(c.flash_lit_share * 100)} % of the frame.</p>` : ""}`;
}
