// What is done with the picture: laying another beside it, reading a
// spot, crop, cover, and the camera's settings as typed.
import { cropMoved, cropShaped, isWhole, type Crop } from "../model/crop.ts";
import type { Edit, SetupView } from "../model/wire.ts";
import { ask } from "../state/wire.ts";
import { clamp, parseMetres, plain } from "../units/stops.ts";
import type { Desk } from "./desk.ts";

/** Lays what was before the last change beside the picture, or takes it away. */
export function beside(d: Desk): void {
  const p = d.store.page;
  if (p.compare?.with === "before") { d.store.set({ compare: null }); return; }
  if (!p.before) {
    d.store.set({ toast: "Nothing of this setup was changed yet since this page was opened, so there is no before." });
    return;
  }
  d.store.set({ compare: { with: "before", setup: p.setup, at: 0.5, whole: false } });
}

let heldSince = 0;

/** Space: before the last change while held, or until pressed again after a tap. */
export function flip(d: Desk, down: boolean, now: number): void {
  const p = d.store.page, c = p.compare;
  if (down) {
    if (c?.with === "before" && c.whole) { d.store.set({ compare: null }); heldSince = 0; return; }
    if (c && c.with !== "before") { d.store.set({ compare: { ...c, whole: !c.whole } }); heldSince = now; return; }
    if (!p.before) { beside(d); return; }
    d.store.set({ compare: { with: "before", setup: p.setup, at: 0.5, whole: true } });
    heldSince = now;
    return;
  }
  if (heldSince && now - heldSince > 350 && c?.whole)
    d.store.set({ compare: c.with === "before" ? null : { ...c, whole: false } });
  heldSince = 0;
}

/** Lays another setup's picture beside; the one that lies there: takes it away. */
export function compareSetup(d: Desk, i: number): void {
  const p = d.store.page, n = p.state?.setups.length ?? 0;
  if (i < 0 || i >= n || i === p.setup || (p.compare?.with === "setup" && p.compare.setup === i)) {
    d.store.set({ compare: null });
    return;
  }
  d.store.set({ compare: { with: "setup", setup: i, at: 0.5, whole: false } });
  void d.live.fetchOther(i);
}

/** The setup that lies beside next: the one after what lies there, then none. */
export function nextBeside(d: Desk): number {
  const p = d.store.page, n = p.state?.setups.length ?? 0, at = p.compare?.with === "setup" ? p.compare.setup : -1;
  const to = at + 1 === p.setup ? at + 2 : at + 1;
  return to < n ? to : -1;
}

export function wipe(d: Desk, at: number): void {
  const c = d.store.page.compare;
  if (c) d.store.set({ compare: { ...c, at: clamp(at, 0, 1), whole: false } });
}

/** Moves the spot under the keyboard and reads there. */
export function cursor(d: Desk, dx: number, dy: number): void {
  const c = d.store.page.cursor ?? d.store.page.spot ?? { x: 0.5, y: 0.5 };
  d.store.set({ cursor: { x: clamp(c.x + dx, 0, 1), y: clamp(c.y + dy, 0, 1) } });
}

export const cropEdits = (v: SetupView, c: Crop): Edit[] => {
  const path = `${v.camera?.path}.crop`;
  if (isWhole(c)) return isWhole(v.camera?.crop ?? [0, 0, 1, 1]) ? [] : [{ delete: path }];
  return [{ set: path, value: `[${c.map((x) => plain(x)).join(", ")}]` }];
};

/** The crop as it was asked for last; answers may be on their way. */
export function cropBy(d: Desk, from: Crop, grip: string, dx: number, dy: number, keepShape: boolean,
  merge: string): Crop {
  const v = d.store.page.view, c = v?.camera;
  if (!v || !c) return from;
  const frame = c.sensor_width / c.sensor_height,
    shape = keepShape ? ((from[2] - from[0]) / (from[3] - from[1])) * frame : 0;
  const next = cropMoved(from, grip, dx, dy, shape, frame);
  d.editor.edit("crop", cropEdits(v, next), merge);
  return next;
}

export function cropShape(d: Desk, shape: number): void {
  const v = d.store.page.view, c = v?.camera;
  if (v && c) d.editor.edit("crop", cropEdits(v, cropShaped(c.crop, shape, c.sensor_width / c.sensor_height)));
}

export function cover(d: Desk, key: string, text: string): void {
  const v = d.store.page.view;
  if (!v) return;
  if (key === "on") {
    d.editor.edit(v.cover ? "no cover" : "for a cover", v.cover ? [{ delete: v.cover.path }]
      : [{ set: `${v.path}.cover`, value: "{lines: left}" }]);
    return;
  }
  if (!v.cover) return;
  const n = Number(text.replace(",", ".").replace("%", "").trim());
  if (key !== "lines" && !Number.isFinite(n)) {
    d.store.set({ toast: `"${text}" is no share; write a number of per cent, like 24` });
    return;
  }
  d.editor.edit(`${key} of the cover`,
    [{ set: `${v.cover.path}.${key}`, value: key === "lines" ? text : `${plain(n, 1)} %` }]);
}

const focal = [14, 18, 20, 24, 28, 35, 40, 50, 60, 70, 85, 105, 135, 150, 180, 200, 300, 400];

/** The next focal length up or down that lenses have. */
export function lens(d: Desk, step: number): void {
  const c = d.store.page.view?.camera;
  if (!c) return;
  const now = c.lens * 1000, next = step > 0 ? focal.find((f) => f > now + 0.5)
    : [...focal].reverse().find((f) => f < now - 0.5);
  if (next) d.editor.edit(`lens ${next} mm`, [{ set: `${c.path}.lens`, value: `${next} mm` }], "dial-lens");
}

/** A setting of the camera as a person writes it; null with nothing that is understood. Pure. */
export function cameraValue(key: string, text: string): string | null {
  const t = text.trim().toLowerCase().replace(/(\d),(\d)/g, "$1.$2").replace(/\u2212/g, "-");
  const num = t.match(/\d+(?:\.\d+)?/)?.[0] ?? "";
  switch (key) {
    case "iso": return /^(iso\s*)?\d+$/.test(t) ? num : null;
    case "aperture": return /^(f\s*\/?\s*)?\d+(\.\d+)?(\s*[+-]\s*0?\.\d)?$/.test(t)
      ? `f/${t.replace(/^f\s*\/?\s*/, "")}` : null;
    case "shutter": {
      if (/^\d+(\.\d+)?\s*\/\s*\d+(\.\d+)?\s*s?$/.test(t)) return `${t.replace(/\s|s/g, "")} s`;
      if (/^\d+(\.\d+)?\s*(s|"|sec)$/.test(t)) return `${num} s`;
      return /^\d+$/.test(t) && Number(num) >= 2 ? `1/${num} s` : null; // as a camera's display has it
    }
    case "white balance": return /^\d{4,5}\s*k?$/.test(t) ? `${num} K` : null;
    case "lens": return /^\d+(\.\d+)?\s*(mm)?$/.test(t) ? `${num} mm` : null;
  }
  return null;
}

export function cameraTyped(d: Desk, key: string, text: string): void {
  const c = d.store.page.view?.camera, v = cameraValue(key, text);
  if (!c) return;
  const like: Record<string, string> = { iso: "400", aperture: "f/5.6 or f/5.6 + 0.3", shutter: "1/125, or 2 s",
    "white balance": "5200 K", lens: "85 mm" };
  if (v === null) {
    d.store.set({ toast: `"${text}" is not understood; write it like ${like[key] ?? "what stands there"}` });
    return;
  }
  d.editor.edit(`set ${key === "iso" ? "ISO" : key} ${v}`, [{ set: `${c.path}.${key}`, value: v }]);
}

/** What is sharp: the near eye, another point by name, or a place at a distance on the axis. */
export function focus(d: Desk, what: string): void {
  const v = d.store.page.view, c = v?.camera;
  if (!v || !c) return;
  if (what === "") {
    if (c.focus_text) d.editor.edit("focus on the near eye", [{ delete: `${c.path}.focus` }]);
    return;
  }
  const far = parseMetres(what), at = far === null ? null : c.at.map((x, i) => plain(x + (c.axis[i] ?? 0) * far, 3));
  if (far !== null && !(far > 0.1)) { d.store.set({ toast: "A lens is focused at 0.1 m or farther." }); return; }
  d.editor.edit(at ? `focus at ${plain(far ?? 0, 2)} m` : `focus on ${what}`,
    [{ set: `${c.path}.focus`, value: at ? `[${at.join(", ")}]` : what }]);
}

/** Focuses on the spot that was read. */
export function focusSpot(d: Desk): void {
  const p = d.store.page, at = p.spot?.at, c = p.view?.camera;
  if (at && c) d.editor.edit("focus on the spot",
      [{ set: `${c.path}.focus`, value: `[${at.map((x) => plain(x)).join(", ")}]` }]);
}

/** Balances the look as it stands: the lights move, the wishes stay. */
export async function reach(d: Desk): Promise<void> {
  const p = d.store.page, v = p.view;
  if (!v || p.asking) return;
  if (v.look.length === 0) {
    d.store.set({ toast: "Nothing is asked for yet: drag a ring, or hold one with H." });
    return;
  }
  d.store.set({ asking: true });
  try {
    const b = await ask<{ edits: Edit[] | null }>(`/api/setup/${p.setup}/balance`,
      { revision: p.state?.revision ?? 0, locks: [...p.locks] });
    if (b.edits?.length) d.editor.edit("balance", b.edits);
    else d.store.set({ toast: "The lights are as near to the look as balance can bring them." });
  } catch (e) { d.say(e); }
  d.store.set({ asking: false });
}
