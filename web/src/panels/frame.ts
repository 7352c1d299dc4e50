// The column of the picture: views, the spot that was read, histogram, camera strip.
import type { CameraView, Dialled, LightView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { fParts, metres, signed } from "../units/stops.ts";

export function views(p: Page, chip: (l: LightView, on: boolean) => string): Markup {
  const b = (kind: string, arg: string, on: boolean, words: string, l?: LightView) =>
    m`<button data-act="frame" data-arg="${kind}" data-path="${arg}" data-key="v-${kind}-${arg}" class="${on ? "on" : ""}" aria-pressed="${on ? "true" : "false"}" title="${l ? `${l.name} alone` : words}">${l ? m`<u data-css="background:${chip(l, on)}"></u>` : ""}${words}</button>`;
  const lights = (p.view?.lights ?? []).filter((l) => l.layer >= 0);
  return m`${b("picture", "", p.frame === "picture", "Picture")}${b("stops", "", p.frame === "stops", "Stops")}${lights.map((l) => b("light", l.path, p.frame === "light" && p.frameLight === l.path, shortName(l), l))}`;
}

const shortName = (l: LightView): string => {
  const t = l.role && !l.house ? l.role : l.name;
  const c = t.charAt(0).toUpperCase() + t.slice(1);
  return c.length > 13 ? `${c.slice(0, 12).trimEnd()}…` : c;
};

export function spotCard(p: Page): Markup {
  const s = p.spot;
  if (!s) return m``;
  const r = s.reading, [w, t] = fParts(r.f_number);
  const most = [...r.lights].sort((a, b) => b.share - a.share).filter((l) => l.share > 0.01).slice(0, 4);
  return m`<div class="spot" role="status"><b class="fn"><i>f/</i>${w}<sup>${t}</sup></b> <span>${r.stops === null ? "dark" : `${signed(r.stops)} stops`}${r.uncertainty_stops > 0.15 ? ` ±${r.uncertainty_stops.toFixed(1)}` : ""}${s.metres ? `, ${metres(s.metres)} m away` : ""}</span><span class="cap">${most.map((l) => `${l.name} ${Math.round(l.share * 100)} %`).join(", ")}</span><span class="end">${s.at ? m`<button data-act="keep">keep as point</button>` : ""}<button data-act="unspot" aria-label="Close the reading">close</button></span></div>`;
}

export function cameraStrip(c: CameraView, p: Page): Markup {
  const t = p.trial;
  const show = (d: Dialled, tried: number | undefined) => (tried === undefined ? d.text : d.steps.find((s) => s.value === tried)?.text ?? d.text).replace(/ s$/, "");
  // What one press of + does to flash and to continuous light, in stops of exposure.
  const next = (d: Dialled) => d.steps.filter((s) => s.stops > 0.01).sort((a, b) => a.stops - b.stops)[0]?.stops;
  const effect = (d: Dialled, flash: boolean) => { const s = next(d); return s === undefined ? "end" : flash ? signed(s) : "0"; };
  const cell = (key: string, name: string, value: Markup, d: Dialled, flashToo: boolean) => m`<div><div class="cap">${name}</div><div class="v">${value}</div><div class="st"><button data-act="dial" data-arg="${key}" data-n="-1" data-key="${key}-" aria-label="${name} darker">\u2212</button><button data-act="dial" data-arg="${key}" data-n="1" data-key="${key}+" aria-label="${name} brighter">+</button></div><div class="ef"><div>flash<b>${effect(d, flashToo)}</b></div><div>cont.<b>${effect(d, true)}</b></div></div></div>`;
  const aperture = show(c.aperture, t.aperture).replace(/^f\//, "");
  return m`${cell("iso", "ISO", m`${show(c.iso, t.iso).replace(/^ISO /, "")}`, c.iso, true)}${cell("shutter", "Shutter", m`${show(c.shutter, t.shutter)}`, c.shutter, false)}${cell("aperture", "Aperture", m`<i>f/</i>${aperture}`, c.aperture, true)}
<div><div class="cap">White bal.</div><div class="v">${c.white_balance.replace(/ K$/, "")}${/K$/.test(c.white_balance) ? m`<small>K</small>` : ""}</div><div class="st"><button data-act="wb" data-n="-1" data-key="wb-" aria-label="White balance cooler picture">\u2212</button><button data-act="wb" data-n="1" data-key="wb+" aria-label="White balance warmer picture">+</button></div><div class="ef"><div>by<b>8 mired</b></div><div>all lights<b>warmer</b></div></div></div>
<div><div class="cap">Focal</div><div class="v">${Math.round(c.lens * 1000)}<small>mm</small></div><div class="ef lens"><div>focus<b>${metres(c.focus)}</b></div><div>sharp<b>${metres(c.near)}</b></div><div>to<b>${c.far === null ? "horizon" : metres(c.far)}</b></div></div></div>`;
}
