// Over the plan: contours, height, snapping, zoom. Under it: the dimensions of what is selected, to be typed.
import { angleAtFace, faceOfSitter, nameOfThing, placeOfThing, whyNot, type V3 } from "../model/things.ts";
import { contourHeight, sectionY, type Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { drawn } from "../units/measures.ts";

export function planBar(p: Page): Markup {
  const b = (arg: "off" | "meter" | "lights", words: string, title: string) =>
    m`<button data-act="contours" data-arg="${arg}" data-key="ct-${arg}" class="${p.contours === arg ? "on" : ""}"
      aria-pressed="${p.contours === arg ? "true" : "false"}" title="${title}">${words}</button>`;
  const title = p.large === "plan" ? "" : m`<h2>Plan and section</h2><span class="hint">X puts them where the picture
    is</span>`;
  return m`${title}<span class="lbl" id="ctl">Contours</span><div class="pick" role="group" aria-labelledby="ctl">
    ${b("off", "off", "No contours (A)")}${b("meter", "f-numbers",
      "What a meter would show, all lights together (A)")}${b("lights", "each light",
      "Every light by itself (A)")}</div>
${p.contours !== "off" ? m`<label>at <input type="text" inputmode="${p.units.lengths === "feet" ? "text" : "decimal"}"
  data-act="contour-z" data-key="contour-z" value="${drawn(contourHeight(p), p.units, true)}"
  aria-label="Height of the contours"></label>` : ""}
<span class="sp"></span><button data-act="snap" data-key="snap" class="${p.snap ? "on" : ""}" aria-pressed="${p.snap
  ? "true" : "false"}" title="Snap to walls, to other things' lines, to 0.1 m (M; Alt while you drag)">snap</button>
  <button data-act="zoom" data-by="-1" data-key="z-" aria-label="Plan farther">\u2212</button><button data-act="zoom"
  data-by="1" data-key="z+" aria-label="Plan nearer">+</button>
  <button data-act="fit" data-key="fit" ${p.zoom.k === 1 && p.zoom.x === 0 && p.zoom.y === 0 ? m`disabled`
    : ""}>fit</button>`;
}

/** What the contours are, and whether they are of what stands there now. */
export function contourSay(p: Page, old: boolean): Markup {
  if (p.contours === "off") return m``;
  const at = p.section && p.view?.sitter ? ` Section at y ${drawn(sectionY(p), p.units, true)}, the face.` : "";
  const state = p.fieldsBusy ? "being measured" : old ? "old: measured again when the hand rests" : "";
  const means = p.contours === "meter" ? "A dome towards the camera, no sitter; good to 0.2 stop."
    : "Each light alone, straight, in stops from the key at the face.";
  return m`${state ? m`<b>${state}.</b> ` : ""}${means}${at}`;
}

export function thingStrip(p: Page): Markup {
  const v = p.view, t = p.thing, here = v && t ? placeOfThing(v, t) : null;
  if (!v || !t || !here) return p.large === "plan"
      ? m`<span class="hint">Drag a light, its aim or its height; press a thing to type where it stands. Two fingers,
        the wheel or + \u2212 come nearer.</span>` : m``;
  const moving = p.drag?.path === t.path && p.drag.what === t.what && p.drag.at ? p.drag.at : null,
    at: V3 = moving ?? here, name = nameOfThing(v, t);
  const field = (arg: string, label: string, value: string, wide = false) =>
    m`<label>${label}<input type="text" ${wide ? m`class="wide"`
      : m`class="${p.units.lengths}" inputmode="${p.units.lengths === "feet" ? "text" : "decimal"}"`} data-act="typed"
      data-arg="${arg}" data-key="ty-${arg}-${t.path}" value="${value}" aria-label="${name} ${label}"></label>`;
  const face = t.what === "sitter" ? null : faceOfSitter(v),
    far = face ? Math.hypot(at[0] - face[0], at[1] - face[1], at[2] - face[2]) : null,
    a = t.what === "camera" ? null : face ? angleAtFace(v, at) : null;
  const why = whyNot(v, t, at);
  return m`<b>${name.charAt(0).toUpperCase() + name.slice(1)}</b>
    ${field("x", "x", drawn(at[0], p.units, true))}${field("y", "y", drawn(at[1], p.units, true))}${t.what ===
      "sitter" ? m`<label>head turned<input type="text" data-act="turn" data-key="ty-turn"
        value="${Math.round(v.sitter?.turn ?? 0)}°" aria-label="Turn of the head in degrees"></label>`
      : field("z", "height", drawn(at[2], p.units, true))}${far !== null
      ? field("far", "to face", drawn(far, p.units, true)) : ""}${a
      ? field("side", "angle", `${a.side < 0 ? "left" : "right"} ${Math.abs(Math.round(a.side))}°`, true) : ""}${a
      ? m`<span class="cap">${a.up < 0 ? "\u2212" : ""}${Math.abs(Math.round(a.up))}° up</span>` : ""}${why
      ? m`<span class="why" role="status">${why}</span>` : ""}<button data-act="unthing" data-key="unthing"
    aria-label="close ${name}">close</button>`;
}
