// Pointers: drags in the ladder and the plan, clicks by what they name, fields, wheel and pinch.
import type { Desk } from "../actions/desk.ts";
import { snap } from "../actions/edits.ts";
import { ladderScale, ringNear, stopsAt } from "../draw/ladder.ts";
import type { Pane } from "../state/store.ts";
import { clamp, metres, parseMetres } from "../units/stops.ts";
import { changed, pressed } from "./acts.ts";
import type { Show } from "./show.ts";

type V3 = [number, number, number];

export class Hands {
  private merge = "";
  private held: { what: string; path: string; view: string; start: V3; x: number; y: number; moved: boolean } | null = null;
  private ring = -1;

  constructor(private readonly desk: Desk, private readonly show: Show) {
    document.addEventListener("click", (e) => this.click(e));
    document.addEventListener("input", (e) => this.input(e));
    document.addEventListener("change", (e) => this.changed(e));
    for (const id of ["lad", "plan"]) document.getElementById(id)?.addEventListener("pointerdown", (e) => this.down(e));
    addEventListener("pointermove", (e) => this.move(e));
    addEventListener("pointerup", () => this.up());
    addEventListener("pointercancel", () => this.up());
    document.getElementById("plan")?.addEventListener("wheel", (e) => this.wheel(e as WheelEvent), { passive: false });
    document.getElementById("plan")?.addEventListener("dblclick", () => this.desk.store.set({ zoom: { x: 0, y: 0, k: 1 } }));
  }

  private click(e: MouseEvent): void {
    const t = (e.target as Element | null)?.closest("[data-act]");
    if ((e.target as Element).closest("#frame [data-drag]")) return;
    if ((e.target as Element).closest("#frame") && !t) {
      const r = document.getElementById("frame")?.getBoundingClientRect(), b = this.show.box;
      if (!r) return;
      const x = (e.clientX - r.left - b.x) / b.w, y = (e.clientY - r.top - b.y) / b.h;
      if (x >= 0 && x <= 1 && y >= 0 && y <= 1) void this.desk.spot(x, y);
      return;
    }
    if (!t || (t.matches(".lr") && (e.target as Element).closest(".places"))) return;
    if (e.target instanceof HTMLInputElement || e.target instanceof HTMLSelectElement || (e.target as Element).closest("label")) return;
    this.act(t);
  }

  act(t: Element): void {
    const d = this.desk, s = d.store, arg = t.getAttribute("data-arg") ?? "", path = t.getAttribute("data-path") ?? "", n = Number(t.getAttribute("data-n") ?? 0);
    switch (t.getAttribute("data-act")) {
      case "setup": d.showSetup(Number(arg)); break;
      case "pane": d.pane(arg as Pane); break;
      case "theme": d.theme(arg as "booth" | "paper"); break;
      case "help": s.set({ help: !s.page.help }); break;
      case "toast": s.set({ toast: "" }); break;
      case "undo": void d.step("undo"); break;
      case "redo": void d.step("redo"); break;
      case "disk": void d.disk(arg as "theirs" | "ours"); break;
      case "phone": s.set({ phone: arg as "frame", pane: "desk" }); break;
      case "side": s.set({ side: arg as "plan" }); break;
      case "frame": d.frame(arg as "picture", path); break;
      case "point": d.selectPoint(n); break;
      case "hold": d.hold(n); break;
      case "light": d.selectLight(path); break;
      case "solo": d.solo(path); break;
      case "off": d.off(path); break;
      case "lock": d.lock(path); break;
      case "remove": d.remove(path); break;
      case "add": d.addLight(); break;
      case "dial": d.dial(arg as "iso", n < 0 ? -1 : 1); break;
      case "wb": d.whiteBalance(n); break;
      case "keep": d.keepSpot(document.querySelector<HTMLInputElement>("#spotname")?.value); break;
      case "unspot": s.set({ spot: null }); break;
      case "take": d.takeWay(Number(arg), n); break;
      case "search": void d.findWays(); break;
      case "goto": this.goTo(n, Number(arg), Number(t.getAttribute("data-len") ?? 1)); break;
      default: pressed(d, t.getAttribute("data-act") ?? "", arg, n);
    }
  }

  private goTo(line: number, col: number, len: number): void {
    this.desk.pane("text");
    setTimeout(() => {
      const a = document.getElementById("text") as HTMLTextAreaElement;
      const lines = a.value.split("\n");
      const at = lines.slice(0, line - 1).reduce((k, l) => k + l.length + 1, 0) + Math.max(0, col - 1);
      a.focus();
      a.setSelectionRange(at, at + len);
      a.scrollTop = Math.max(0, (line - 6) * 18);
    }, 120);
  }

  private input(e: Event): void {
    const t = e.target;
    if (t instanceof HTMLTextAreaElement && t.id === "text") this.desk.typed(t.value, t.defaultValue);
    if (t instanceof HTMLInputElement && t.dataset.act === "fader") {
      if (!this.merge) this.merge = this.desk.merge("fader");
      this.desk.setting(t.dataset.path ?? "", Number(t.value), this.merge);
    }
  }

  private changed(e: Event): void {
    const t = e.target;
    if ((t instanceof HTMLSelectElement || t instanceof HTMLInputElement) && changed(this.desk, t)) return;
    if (!(t instanceof HTMLInputElement)) return;
    if (t.dataset.act === "fader") this.merge = "";
    if (t.dataset.act === "place") {
      const l = this.desk.light(t.dataset.path ?? ""), v = parseMetres(t.value);
      if (!l?.at) return;
      if (v === null) { this.desk.store.set({ toast: `"${t.value}" is no length; write 2.4 m, 240 cm or 7 ft 10 in` }); return; }
      const at: V3 = [...l.at];
      at[Number(t.dataset.n)] = v;
      this.desk.move({ what: "light", path: l.path, at }, "");
    }
  }

  private down(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-drag]");
    const svg = e.currentTarget as Element;
    const p = this.desk.store.page;
    if (!t) {
      if (svg.id === "plan" && e.button === 0) { this.held = { what: "pan", path: "", view: "", start: [p.zoom.x, p.zoom.y, 0], x: e.clientX, y: e.clientY, moved: false }; }
      return;
    }
    e.preventDefault();
    if (t instanceof HTMLElement || t instanceof SVGElement) t.focus({ preventScroll: true });
    const what = t.getAttribute("data-drag") ?? "", path = t.getAttribute("data-path") ?? "";
    this.merge = this.desk.merge("drag");
    if (what === "ring") {
      const d = this.show.ladderDrawing, near = d ? ringNear(d, e.clientY - svg.getBoundingClientRect().top) : -1;
      this.ring = near >= 0 ? near : Number(t.getAttribute("data-n"));
      this.desk.selectPoint(this.ring);
      return;
    }
    const start = this.placeOf(what, path);
    if (!start) return;
    this.held = { what, path, view: t.getAttribute("data-view") ?? "plan", start, x: e.clientX, y: e.clientY, moved: false };
    if (what === "light" && p.light !== path) this.desk.store.set({ light: path });
    if (what === "point") this.desk.selectPoint(Number(t.getAttribute("data-n")));
  }

  placeOf(what: string, path: string): V3 | null {
    const v = this.desk.store.page.view;
    if (!v) return null;
    if (what === "light") return v.lights.find((l) => l.path === path)?.at ?? null;
    if (what === "aim") return v.lights.find((l) => l.path === path)?.aim ?? null;
    if (what === "panel") return v.panels.find((q) => q.path === path)?.at ?? null;
    if (what === "camera") return v.camera?.at ?? null;
    if (what === "sitter") return v.sitter ? [v.sitter.at[0], v.sitter.at[1], 0] : null;
    if (what === "point") return v.points.find((q) => q.path === path)?.at ?? null;
    return null;
  }

  private move(e: PointerEvent): void {
    const s = this.desk.store, p = s.page;
    if (this.ring >= 0) {
      const d = this.show.ladderDrawing, svg = document.getElementById("lad"), name = p.view?.points[this.ring]?.name;
      if (!d || !svg || !name) return;
      const sc = ladderScale(d), stops = Math.round(clamp(stopsAt(sc, e.clientY - svg.getBoundingClientRect().top), sc.lo, sc.hi) * 10) / 10;
      if (p.drag?.stops === stops) return;
      s.set({ drag: { what: "ring", path: name, stops } });
      this.desk.ring(this.ring, stops, this.merge);
      return;
    }
    const h = this.held, place = this.show.place;
    if (!h || !place) return;
    const dx = e.clientX - h.x, dy = e.clientY - h.y;
    if (!h.moved && Math.hypot(dx, dy) < 3) return;
    h.moved = true;
    if (h.what === "pan") { s.set({ zoom: { ...p.zoom, x: h.start[0] + dx, y: h.start[1] + dy } }); return; }
    const mx = dx / place.s, my = -dy / place.s;
    const raw: V3 = h.view === "section" ? [h.start[0] + mx, h.start[1], h.start[2] + my] : [h.start[0] + mx, h.start[1] + my, h.start[2]];
    this.drop(h.what, h.path, raw, h.view, e.altKey);
  }

  /** Puts what is held at a place, snapped, and says how far it is from the sitter's face. */
  drop(what: string, path: string, raw: V3, view: string, free: boolean): void {
    const s = this.desk.store, v = s.page.view;
    if (!v) return;
    const others = v.lights.filter((l) => l.at && l.path !== path && !l.house).map((l) => l.at as V3);
    if (v.sitter && what !== "sitter") others.push([v.sitter.at[0], v.sitter.at[1], v.sitter.landmarks.face?.[2] ?? 1.6]);
    const at: V3 = free ? [round(raw[0]), round(raw[1]), round(raw[2])] : [snap(raw[0], others.map((o) => o[0])), view === "section" ? raw[1] : snap(raw[1], others.map((o) => o[1])), view === "section" ? snap(raw[2], others.map((o) => o[2])) : raw[2]];
    if (what !== "sitter") at[2] = Math.max(0, at[2]);
    const face = v.sitter?.landmarks.face;
    const far = face && what !== "sitter" ? `, ${metres(Math.hypot(at[0] - face[0], at[1] - face[1], at[2] - face[2]))} from the face` : "";
    s.set({ drag: { what, path, at, note: `x ${metres(at[0])}  y ${metres(at[1])}${what === "sitter" ? "" : `  height ${metres(at[2])}`}${far}` } });
    this.desk.move({ what, path, at }, this.merge);
  }

  private up(): void {
    if (this.ring >= 0) this.ring = -1;
    const h = this.held;
    this.held = null;
    const s = this.desk.store;
    if (h && !h.moved && h.what === "light") { /* a press alone selects */ }
    if (s.page.drag) void this.settle();
    this.merge = "";
  }

  /** Lets go once the last change has been answered and drawn. */
  private async settle(): Promise<void> {
    const s = this.desk.store, mine = s.page.drag;
    for (let k = 0; k < 200 && !(this.desk.editor.idle && !s.page.asking && (s.page.view?.revision ?? 0) >= (s.page.state?.good_revision ?? 0)); k++) await new Promise((r) => setTimeout(r, 20));
    if (s.page.drag === mine || !this.held) s.set({ drag: null, trial: { k: new Map() } });
  }

  private wheel(e: WheelEvent): void {
    e.preventDefault();
    const s = this.desk.store, z = s.page.zoom, svg = e.currentTarget as Element, r = svg.getBoundingClientRect();
    const k = clamp(z.k * Math.exp(-e.deltaY * 0.0015), 1, 8), f = k / z.k;
    const cx = e.clientX - r.left, cy = e.clientY - r.top, place = this.show.place;
    if (!place) return;
    const ax = place.x0 + place.lo[0] * place.s - z.x, ay = place.yPlan - place.hi[1] * place.s - z.y;
    s.set({ zoom: k === 1 ? { x: 0, y: 0, k } : { k, x: cx - ax - (cx - ax - z.x) * f, y: cy - ay - (cy - ay - z.y) * f } });
  }

  /** Keys on what has the focus: arrows move a thing in the plan, the ring of a slider; Enter and space press. */
  key(e: KeyboardEvent): boolean {
    const t = e.target;
    if (!(t instanceof Element)) return false;
    const what = t.getAttribute("data-drag"), act = t.closest("[data-act]");
    const way = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }[e.key];
    if (what === "ring" && way && way[1]) {
      const i = Number(t.getAttribute("data-n"));
      this.desk.selectPoint(i);
      this.desk.ring(i, this.desk.ringAt(i) + (way[1] ?? 0) * (e.shiftKey ? 1 : 0.1), `ring-keys-${i}`);
      return true;
    }
    if (what && what !== "ring" && way) {
      const path = t.getAttribute("data-path") ?? "", at = this.placeOf(what, path), step = e.shiftKey ? 0.5 : 0.05;
      if (!at) return false;
      this.desk.move({ what, path, at: t.getAttribute("data-view") === "section" ? [at[0] + (way[0] ?? 0) * step, at[1], Math.max(0, at[2] + (way[1] ?? 0) * step)] : [round(at[0] + (way[0] ?? 0) * step), round(at[1] + (way[1] ?? 0) * step), at[2]] }, `keys-${path}`);
      return true;
    }
    if (what && (e.key === "Enter" || e.key === " ") && what === "light") { this.desk.selectLight(t.getAttribute("data-path") ?? ""); return true; }
    if (act && act === t && t instanceof SVGElement && (e.key === "Enter" || e.key === " ")) { this.act(act); return true; }
    return false;
  }
}

const round = (v: number): number => Math.round(v * 1000) / 1000;
