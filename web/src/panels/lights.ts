// The lights, a row each: chip, name, head and what is on it, fader over the real
// range, what it is set to, how far it can rise, alone, off, lock.
import { againstFile } from "../model/hour.ts";
import { dialNear } from "../model/light.ts";
import { hardware, wholeName } from "../model/names.ts";
import type { KitView, LightView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { kept, m, r1, type Markup } from "../units/markup.ts";
import { clock, drawn } from "../units/measures.ts";
import { minus, plain, signed } from "../units/stops.ts";
import { button, choose } from "./button.ts";
import { tryCard } from "./tryout.ts";

export function lightRows(p: Page, chip: (l: LightView) => string): Markup {
  const all = p.view?.lights ?? [],
    head = m`<div class="lth"><span></span><b>Lights</b><span class="hw">head and what is on it</span>
      <span class="fh">one mark a stop</span><span class="r">set to</span><span class="r">can rise</span>
      <span></span></div>`;
  const none = all.length ? "" : m`<p class="none">No light yet: the picture is black.</p>`;
  // Many lights of the house that nobody touches are one row.
  const folded = new Set(p.house ? [] : ofHouse(p)), first = all.findIndex((l) => folded.has(l));
  const rows = all.map((l, i) => (i === first && folded.size > 0 ? kept(fold(p, [...folded], chip(l)))
    : folded.has(l) ? m`` : kept(row(p, l, chip(l)))));
  return m`${head}${none}${rows}<div class="add" data-key="add">
    ${button(p, "add", "add a light", { cls: "lnk" })}${p.house ? button(p, "house", "fold the house’s lights",
      { cls: "lnk" }) : ""}</div>`;
}

/** The lights of the house that fold into one row: as found, none of them selected or alone. */
function ofHouse(p: Page): LightView[] {
  const all = (p.view?.lights ?? []).filter((l) => l.house && l.kind !== "daylight" && !l.off && !l.setting_path &&
    p.light !== l.path && p.solo !== l.path);
  return all.length > 3 ? all : [];
}

function fold(p: Page, list: readonly LightView[], colour: string): Markup {
  const stems = new Set(list.map((l) => wholeName(l).replace(/[ \d]+$/, ""))), one = [...stems][0] ?? "",
    name = stems.size === 1 && one ? `${one}, ${list.length} of them` : `${list.length} lights of the house`;
  return m`<div class="lt fold" data-key="row-house"><span class="ch" data-css="background:${colour}"></span>
    <span class="ro" title="${list.map((l) => l.name).join(", ")}">${name}</span><span class="hw">the house’s</span>
    <div class="fd"><span class="h">cannot be dimmed</span></div><span class="se">as found</span>
    <span class="ri"></span><div class="ws">${button(p, "house", "unfold", { cls: "lnk" })}</div></div>`;
}

/** What it can still give. */
function rise(l: LightView, stops: number): Markup {
  if (l.fixed || l.house || !l.setting_path) return m``;
  return -stops < 0.05 ? m`<b>at full</b>` : m`${(-stops).toFixed(1)} stops`;
}

/** Why it has no fader. */
const still = (l: LightView): string => (l.kind === "daylight" ? "falls with the hour" : l.house ? "cannot be dimmed"
  : l.fixed || "has no setting");

function row(p: Page, l: LightView, colour: string): Markup {
  const sel = p.light === l.path, k = p.trial.k.get(l.path), stops = k && l.k > 0 ? l.stops + Math.log2(k / l.k)
    : l.stops, name = wholeName(l);
  const near = k ? dialNear(l, stops) : undefined, setting = near?.text ?? l.setting, day = l.kind === "daylight",
    hour = day && p.hour !== null ? p.view?.hours : undefined;
  const said = l.off ? "off" : hour ? `${signed(againstFile(hour, p.hour ?? hour.at))} stops` : day && p.view?.hours
    ? clock(p.view.hours.at, p.units) : minus(setting) || "as found";
  const below = `${minus(setting)}: ${(-stops).toFixed(1)} stops below full`, set = l.setting_path && !l.off
    ? m`<input class="se" data-act="own" data-arg="setting" data-path="${l.path}" data-key="set-${l.path}"
      data-pick="" value="${minus(setting)}" title="${below}" autocomplete="off" spellcheck="false"
      aria-label="${l.name} set to">`
    : m`<span class="se" title="${day ? "daylight at this hour" : l.off ? "off: it gives no light"
      : "as it was found: nothing here sets it"}">${said}</span>`;
  const alone = p.solo === l.path, quiet = p.solo !== "" && !alone,
    cls = `lt${sel ? " sel" : ""}${l.off ? " off" : ""}${quiet ? " quiet" : ""}`;
  return m`<div class="${cls}" data-key="row-${l.path}" data-act="light" data-path="${l.path}">
    <span class="ch" data-css="background:${colour}"></span>
<button class="ro" data-act="light" data-path="${l.path}" data-key="name-${l.path}" aria-pressed="${sel ? "true"
  : "false"}" title="${name}">${name}</button><span class="hw" title="${hardware(l)}">${hardware(l)}</span>
<div class="fd">${fader(l, stops, setting, name)}</div>${set}<span class="ri"
  title="${l.setting_path && !l.off ? "how far it can still rise until it is at full"
    : ""}">${l.off ? "" : rise(l, stops)}</span>
  <div class="ws">${toggle(p, "solo", l, alone, "alone", name)}${toggle(p, "off", l, l.off, "off", name)}${l.house ? ""
    : toggle(p, "lock", l, l.lock, "lock", name)}</div>${sel && l.at && !l.house ? places(p, l, p.kit) : ""}</div>`;
}

const toggle = (p: Page, act: string, l: LightView, on: boolean, words: string, name: string): Markup =>
  button(p, act, words, { path: l.path, on, label: `${name} ${words}` });

function fader(l: LightView, stops: number, setting: string, name: string): Markup {
  if (!l.setting_path || l.dial.length < 2) return m`<span class="h" title="${l.fixed ?? ""}">${still(l)}</span>`;
  const lo = Math.max(-10, Math.min(...l.dial.map((d) => d.stops)), l.stops - Math.max(l.down_stops, 0.1));
  const pc = (s: number) => r1(Math.min(100, Math.max(0, ((s - lo) / -lo) * 100))),
    ticks = Array.from({ length: Math.floor(-lo) + 1 }, (_, i) => -i);
  const says = `${setting}, ${(-stops).toFixed(1)} stops below full`;
  return m`<input type="range" min="${plain(lo, 2)}" max="0" step="0.1" value="${plain(stops, 2)}" data-act="fader"
    data-path="${l.path}" data-key="f-${l.path}" aria-label="${name} in stops below full" aria-valuetext="${says}">
<svg aria-hidden="true"><line class="used" x1="0" x2="${pc(stops)}%" y1="50%" y2="50%"/>
  <line class="room" x1="${pc(stops)}%" x2="100%" y1="50%" y2="50%"/>${ticks.map((s) =>
    m`<line class="tk" x1="${pc(s)}%" x2="${pc(s)}%" y1="50%" y2="${s % 2 ? "68%" : "74%"}"/>`)}
      <line class="mk" x1="${pc(stops)}%" x2="${pc(stops)}%" y1="18%" y2="82%"/></svg>`;
}

/** What may be put in: the kit's names, with what is there first when the kit does not know it. */
function choice(p: Page, l: LightView, key: string, is: string, names: readonly string[], none: string): Markup {
  const tried = p.tryout?.path === l.path && p.tryout.part === key, now = tried ? p.tryout?.value ?? is : is,
    same = (n: string): boolean => n.toLowerCase() === now.toLowerCase();
  const all = names.some(same) || now === "" ? names : [now, ...names];
  const list = [...(none ? [{ value: "", words: none, on: now === "" }] : []),
    ...all.map((n) => ({ value: n, words: n, on: same(n) }))];
  return m`<label>${key}${choose("part", `${l.name} ${key}`, list,
    { arg: key, path: l.path, key: `part-${key}-${l.path}` })}</label>`;
}

/** A target of the file in words: "sitter.face" is the sitter's face. */
const aimWords = (name: string): string =>
  name.replace(/^sitter\.(.+)$/, "the sitter’s $1").replace(/^sitter$/, "the sitter")
    .replace(/^(?:panels|points|practicals|lights|windows)\.(.+)$/, "$1");

function parts(p: Page, l: LightView, kit: KitView | null): Markup {
  if (!kit) return m``;
  const mount = kit.heads.find((h) => h.name === l.head)?.mount ?? "";
  const fits = kit.modifiers.filter((x) => x.mount.length === 0 || x.mount.includes(mount) ||
    x.mount.includes(l.head)).map((x) => x.name);
  return m`${choice(p, l, "head", l.head, kit.heads.map((h) => h.name), l.head
    ? "" : "none: it stands bare")}${choice(p, l, "modifier", l.modifier,
    fits, "bare")}${choice(p, l, "grid", l.grid, kit.grids.map((g) => g.name), "none")}${choice(p, l, "gel",
    l.gels.join(" + "), kit.gels, "none")}
${button(p, "pick", "colour", { path: `${l.path}.colour`, label: `colour of ${l.name}` })}${button(p, "edgo",
  "all settings", { path: l.path, key: `go-${l.path}`, label: `all settings of ${l.name}` })}${button(p, "remove",
  `remove ${l.name}`, { path: l.path })}`;
}

function places(p: Page, l: LightView, kit: KitView | null): Markup {
  const role = m`<label>role<input type="text" data-act="own" data-arg="role" data-path="${l.path}"
    data-key="own-role-${l.path}" value="${l.role}" autocomplete="off" spellcheck="false"
    aria-label="${l.name} role"></label>`;
  const unit = p.units.lengths === "feet" ? "" : " m",
    aim = aimWords(l.aim_name) || `${(l.aim ?? []).map((v) => drawn(v, p.units)).join(", ")}${unit}`,
    kelvin = l.kelvin ? `, ${Math.round(l.kelvin / 10) * 10} K` : "";
  const good = l.uncertainty_stops < 0.05 ? "by " : `good to ±${l.uncertainty_stops.toFixed(1)} stops, `;
  return m`<div class="places">${role}${parts(p, l, kit)}<span class="cap">aimed at ${aim}${kelvin},${" "}
    ${good}${l.rests_on}</span>${p.tryout?.path === l.path ? tryCard(p) : ""}</div>`;
}
