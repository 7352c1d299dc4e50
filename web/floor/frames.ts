// Test frames: each beside its prediction, the difference in stops, and what may be wrong.
import { m, type Markup } from "../src/units/markup.ts";
import { age, signed } from "./figures.ts";
import { picture } from "./link.ts";
import { may, type State } from "./screens.ts";
import type { Frame, FrameCause, View } from "./wire.ts";

const images = new Map<string, string>();
const asked = new Set<string>();
let drawn = (): void => undefined;

/** What is called when a picture has come. */
export const whenDrawn = (then: () => void): void => { drawn = then; };

/** A picture of a frame as an address; "" until it is there. Phones ask with their own half of the key. */
function image(f: Frame, kind: "photo" | "predicted" | "difference"): string {
  const key = `${f.id} ${kind} ${kind === "photo" ? 0 : f.pictures}`, has = images.get(key);
  if (has !== undefined) return has;
  if (!asked.has(key)) {
    asked.add(key);
    picture(f.id, kind, f.pictures).then((url) => {
      images.set(key, url);
      if (images.size > 60) images.delete(images.keys().next().value!);
      drawn();
    }, () => asked.delete(key));
  }
  return "";
}

const shown = (f: Frame, kind: "photo" | "predicted" | "difference", words: string): Markup => {
  const src = image(f, kind);
  return m`<figure data-key="${f.id}${kind}">${src ? m`<img src="${src}" alt="${words}, ${f.name}">` :
    m`<div class="wait">…</div>`}<figcaption>${words}</figcaption></figure>`;
};

/** The photograph with the points where they were found; while one is being marked it takes a press. */
function photograph(s: State, f: Frame): Markup {
  const src = image(f, "photo"), on = s.mark !== "" && may(s, "lead");
  if (!src) return shown(f, "photo", "as photographed");
  const body = m`<img src="${src}" alt="as photographed, ${f.name}"><svg aria-hidden="true">${f.points.map((p) =>
    m`<circle class="${p.name === s.mark ? "on" : ""}" cx="${100 * p.x}%" cy="${100 * p.y}%" r="7"/>`)}</svg>`;
  return m`<figure data-key="${f.id}photo">${on ? m`<button class="on" data-act="mark"
    aria-label="where ${s.mark} lies">${body}</button>` : m`<div class="on">${body}</div>`}
    <figcaption>${on ? `press where ${s.mark} lies` : "as photographed"}</figcaption></figure>`;
}

const cause = (c: FrameCause): Markup => m`<div class="th"><b>${c.chance.toFixed(0)} in 100</b>
  <span>${c.light ? c.light + ": " : ""}${c.text}${c.stops ? `, ${signed(c.stops)} st` : ""}</span></div>`;

/** The newest frame, or the one that was chosen. */
/** A distance in CIE 1976 u'v' in parts of a full correcting sheet, as the program says it (ways.ColourFar). */
const colourFar = (d: number): string => d < 0.004 ? "the same to the eye" : `off by ${
  ([[0.1, "less than an eighth"], [0.27, "an eighth"], [0.53, "a quarter"], [0.83, "a half"], [1.4, "a full"]] as
    const).find(([x]) => d / 0.075 < x)?.[1] ?? "more than a full"} correction`;

export function frames(s: State, v: View): Markup {
  const f = v.frames.find((x) => x.id === s.frame) ?? v.frames[0];
  const head = m`<div class="lst" tabindex="0" role="region" aria-label="test frames">`;
  if (!f) return m`<div class="main">${head}<p class="words">${v.watching ?
    "No frame came yet. It is shown here as soon as its file is whole." :
    "No folder is watched. The desk chooses one, under More."}</p></div>
    <nav class="act one"><button data-act="more">Back</button></nav></div>`;
  const at = v.frames.indexOf(f), step = (by: number): string => v.frames[at + by]?.id ?? "";
  const lights = f.lights.filter((l) => l.on || l.stops > -3);
  return m`<div class="main"><div class="pt"><button data-act="frame" data-arg="${step(1)}" ${step(1) ? "" :
    "disabled"}>older</button><h2>${f.name}<small>${age(v.now + performance.now() - s.got - f.at)} ago${f.settings ?
    `, ${f.settings}` : ""}</small></h2><button data-act="frame" data-arg="${step(-1)}" ${step(-1) ? "" :
    "disabled"}>newer</button></div>${head}
${f.problem ? m`<p class="words"><b>${f.problem}</b></p>` : m`<p class="words"><b>${f.text}</b>${f.working ?
  m` <span>${f.doing} %</span>` : ""}</p>`}
${(f.working || f.stopped) && may(s, "lead") ? m`<div class="in"><button class="out" data-act="stopframe"
  data-arg="${f.stopped ? "on" : ""}">${f.stopped ? "Go on" : "Stop here"}</button></div>` : ""}
${f.causes.map(cause)}${f.notes.map((n) => m`<p class="words">${n}</p>`)}
${f.ready ? m`<div class="shots">${photograph(s, f)}${shown(f, "predicted", "as predicted")}
  ${shown(f, "difference", "photographed over predicted, stops")}</div>
<div class="sh"><h2>Points</h2><span>against the prediction</span></div>${f.points.map((p) => m`<div class="th two">
  <span>${p.name}</span><b>${p.clip ? "clips" : p.floor ? "in the floor" : `${signed(p.off)} st`}</b>
  <small>colour ${colourFar(p.colour)}</small></div>`)}
${may(s, "lead") && f.points.length > 0 ? m`<div class="sh"><h2>A point lies elsewhere</h2><span>${f.marked ??
  "choose it, then press where it lies"}</span></div><div class="grid2">${f.points.map((p) => m`<button
  data-act="markof" data-arg="${p.name}" aria-pressed="${String(s.mark === p.name)}">${p.name}</button>`)}</div>` : ""}
${f.first ? m`<p class="words">${f.clipped} % of the frame clips, ${f.floor} % lies over 7 stops under
  mid-grey.</p>` : m`<div class="sh"><h2>Lights</h2><span>against the prediction</span></div>
${lights.map((l) => m`<div class="th two">
  <span>${l.light}</span><b>${!l.told ? "too little to tell" : l.dark ? "dark" : `${signed(l.stops)} st`}</b>
  <small>${Math.round(100 * l.share)} % of the light</small></div>`)}
<p class="words">${f.clipped} % of the frame clips, ${f.floor} % lies over 7 stops under mid-grey;
  ${f.rest} % of its light is not explained. Against the plan’s its white is ${colourFar(f.white)}.</p>`}` : ""}
${f.seq > 0 ? m`<div class="sh"><h2>It is of</h2><span>${f.how}</span></div><div class="grid2">
  ${v.setups.map((x) => m`<button data-act="assign" data-arg="${x.name}"
  aria-pressed="${String(x.name === f.setup)}" ${may(s, "lead") ? "" : "disabled"}>${x.name}</button>`)}</div>` : ""}
<div class="sh"><h2>The camera’s clock</h2><span>${v.camera === 0 ? "as the program’s" :
  `${age(Math.abs(v.camera) * 1000)} ${v.camera > 0 ? "behind" : "ahead"}${v.camera_said ? "" : ", by its frames"}`}
  </span></div>${may(s, "lead") ? m`<div class="in"><input id="behind" data-own="behind" inputmode="numeric"
  placeholder="minutes behind, −3: ahead" maxlength="6" aria-label="minutes that the camera’s clock is behind">
  <button class="out" data-act="behind">Set</button></div>` : ""}</div>
<nav class="act one"><button data-act="more">Back</button></nav></div>`;
}
