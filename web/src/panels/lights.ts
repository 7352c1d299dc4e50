// The lights: chip, role, words, fader over the real range, setting in the head's own unit, solo, off, lock.
import type { KitView, LightView } from "../model/wire.ts";
import { daylightStops } from "../model/hour.ts";
import { dialNear } from "../model/light.ts";
import type { Page } from "../state/store.ts";
import { tryCard } from "./tryout.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { clock, drawn } from "../units/measures.ts";
import { minus, plain, signed } from "../units/stops.ts";

export function lightRows(p: Page, chip: (l: LightView) => string): Markup {
  return m`${(p.view?.lights ?? []).map((l) => kept(row(p, l, chip(l))))}<div class="add" data-key="add"><button data-act="add">add a light</button></div>`;
}

const words = (l: LightView): string => [l.head, l.modifier === "bare" ? "" : l.modifier, l.grid, ...l.gels.map((g) => `${g} gel`), l.colour, l.through ? `through ${l.through}` : ""].filter(Boolean).join(", ");

function row(p: Page, l: LightView, colour: string): Markup {
  const sel = p.light === l.path, k = p.trial.k.get(l.path), stops = k && l.k > 0 ? l.stops + Math.log2(k / l.k) : l.stops;
  const near = k ? dialNear(l, stops) : undefined, setting = near?.text ?? l.setting;
  const head = Math.max(0, -stops), kind = l.kind === "continuous" ? "cont." : l.kind;
  const name = l.role && !l.house ? l.role : l.name, title = name.charAt(0).toUpperCase() + name.slice(1);
  const hour = l.kind === "daylight" && p.hour !== null ? p.view?.hours : undefined;
  const up = hour ? clock(p.hour ?? 0, p.units) : l.fixed || l.house ? "as found" : head < 0.05 ? "at full" : `${head.toFixed(1)} up`;
  return m`<div class="lr${sel ? " sel" : ""}${l.off ? " off" : ""}" data-key="row-${l.path}" data-act="light" data-path="${l.path}">
<span class="chip" data-css="background:${colour}"></span><div class="nmx"><button class="r" data-act="light" data-path="${l.path}" aria-pressed="${sel ? "true" : "false"}"><span class="ro">${title}</span> <em>${words(l)}</em></button>${fader(l, stops, setting, title)}</div>
<div class="set">${l.off ? "off" : hour ? `${signed(daylightStops(hour, p.hour))} st` : minus(setting) || "as found"}<small>${l.off ? kind : `${kind}, ${up}`}</small></div>
<div class="so">${toggle("solo", l, p.solo === l.path, "solo", title)}${toggle("off", l, l.off, "off", title)}${l.house ? "" : toggle("lock", l, l.lock, "lock", title)}</div>
${sel && l.at && !l.house ? places(p, l, p.kit) : ""}</div>`;
}

const toggle = (act: string, l: LightView, on: boolean, w: string, title: string): Markup =>
  m`<button data-act="${act}" data-path="${l.path}" data-key="${act}-${l.path}" class="${on ? "on" : ""}" aria-pressed="${on ? "true" : "false"}" aria-label="${title} ${w}">${w}</button>`;

function fader(l: LightView, stops: number, setting: string, title: string): Markup {
  if (!l.setting_path || l.dial.length < 2) return m`<div class="h">${l.fixed || (l.kind === "daylight" ? "daylight: as the sky gives it" : "belongs to the house: on or off only")}</div>`;
  const lo = Math.max(-10, Math.min(...l.dial.map((d) => d.stops)), l.stops - Math.max(l.down_stops, 0.1)), pc = (s: number) => r1(Math.min(100, Math.max(0, ((s - lo) / -lo) * 100)));
  const bottom = dialNear(l, lo)?.text ?? "", top = dialNear(l, 0)?.text ?? "";
  const ticks = Array.from({ length: Math.floor(-lo) + 1 }, (_, i) => -i);
  return m`<div class="fd"><span class="lo">${bottom}</span><div class="tr"><input type="range" min="${plain(lo, 2)}" max="0" step="0.1" value="${plain(stops, 2)}" data-act="fader" data-path="${l.path}" data-key="f-${l.path}" aria-label="${title} in stops below full" aria-valuetext="${setting}, ${(-stops).toFixed(1)} stops below full"><svg aria-hidden="true"><line class="used" x1="0" x2="${pc(stops)}%" y1="13" y2="13"/><line class="room" x1="${pc(stops)}%" x2="100%" y1="13" y2="13"/>${ticks.map((s) => m`<line class="tk" x1="${pc(s)}%" x2="${pc(s)}%" y1="${s % 2 ? 9.5 : 8}" y2="13"/>`)}<line class="mk" x1="${pc(stops)}%" x2="${pc(stops)}%" y1="3" y2="23"/></svg></div><span class="hi">${top}</span></div>`;
}

/** What may be put in: the kit's names, with what is there first when the kit does not know it. */
function choice(p: Page, l: LightView, key: string, label: string, is: string, names: readonly string[], none: string): Markup {
  const tried = p.tryout?.path === l.path && p.tryout.part === key, now = tried ? p.tryout?.value ?? is : is;
  const all = names.some((n) => n.toLowerCase() === now.toLowerCase()) || now === "" ? names : [now, ...names];
  return m`<label>${label}<select data-act="part" data-arg="${key}" data-path="${l.path}" data-key="part-${key}-${l.path}" aria-label="${l.name} ${label}">${none ? m`<option value="" ${now === "" ? m`selected` : ""}>${none}</option>` : ""}${all.map((n) => m`<option value="${n}" ${n.toLowerCase() === now.toLowerCase() ? m`selected` : ""}>${n}</option>`)}</select></label>`;
}

/** A target of the file in words: "sitter.face" is the sitter's face. */
const aimWords = (name: string): string => name.replace(/^sitter\.(.+)$/, "the sitter\u2019s $1").replace(/^sitter$/, "the sitter").replace(/^(?:panels|points|practicals|lights|windows)\.(.+)$/, "$1");

function parts(p: Page, l: LightView, kit: KitView | null): Markup {
  if (!kit) return m``;
  const mount = kit.heads.find((h) => h.name === l.head)?.mount ?? "";
  const fits = kit.modifiers.filter((x) => x.mount.length === 0 || x.mount.includes(mount) || x.mount.includes(l.head)).map((x) => x.name);
  return m`${choice(p, l, "head", "head", l.head, kit.heads.map((h) => h.name), "")}${choice(p, l, "modifier", "modifier", l.modifier, fits, "bare")}${choice(p, l, "grid", "grid", l.grid, kit.grids.map((g) => g.name), "none")}${choice(p, l, "gel", "gel", l.gels.join(" + "), kit.gels, "none")}<button data-act="pick" data-path="${l.path}.colour" data-key="pick-${l.path}" aria-label="colour of ${l.name}">colour</button><button data-act="edgo" data-path="${l.path}" data-key="go-${l.path}" aria-label="all settings of ${l.name}">all settings</button><button data-act="remove" data-path="${l.path}" data-key="rm-${l.path}">remove ${l.name}</button>`;
}

function places(p: Page, l: LightView, kit: KitView | null): Markup {
  const f = (axis: number, label: string) => m`<label class="pxyz">${label}<input type="text" inputmode="decimal" data-act="place" data-path="${l.path}" data-n="${axis}" data-key="place${axis}-${l.path}" value="${drawn(l.at?.[axis] ?? 0, p.units, true)}" aria-label="${l.name} ${label}"></label>`;
  const own = (key: string, label: string, value: string) => m`<label>${label}<input type="text" data-act="own" data-arg="${key}" data-path="${l.path}" data-key="own-${key}-${l.path}" value="${value}" autocomplete="off" spellcheck="false" aria-label="${l.name} ${label}"></label>`;
  return m`<div class="places">${own("role", "role", l.role)}${l.setting_path ? own("setting", l.flash ? "power" : "level", l.setting) : ""}${f(0, "x")}${f(1, "y")}${f(2, "height")}${parts(p, l, kit)}<span class="cap">aimed at ${aimWords(l.aim_name) || (l.aim ?? []).map((v) => drawn(v, p.units)).join(", ")}${l.kelvin ? `, ${Math.round(l.kelvin / 10) * 10} K` : ""}, ±${l.uncertainty_stops.toFixed(1)} st</span>${p.tryout?.path === l.path ? tryCard(p) : ""}</div>`;
}
