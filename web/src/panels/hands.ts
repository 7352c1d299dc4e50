// Pointers: drags in the ladder, clicks by what they name, fields. The plan has hands of its own.
import type { Desk } from "../actions/desk.ts";
import { ladderScale, ringNear, stopsAt } from "../draw/ladder.ts";
import type { Pane } from "../state/store.ts";
import { readLength } from "../units/measures.ts";
import { clamp } from "../units/stops.ts";
import { changed, pressed } from "./acts.ts";
import type { Show } from "./show.ts";

type V3 = [number, number, number];

export class Hands {
  private merge = "";
  private ring = -1;

  constructor(private readonly desk: Desk, private readonly show: Show) {
    document.addEventListener("click", (e) => this.click(e));
    document.addEventListener("input", (e) => this.input(e));
    document.addEventListener("change", (e) => this.changed(e));
    document.getElementById("lad")?.addEventListener("pointerdown", (e) => this.down(e));
    addEventListener("pointermove", (e) => this.move(e));
    addEventListener("pointerup", () => this.up());
    addEventListener("pointercancel", () => this.up());
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
      const l = this.desk.light(t.dataset.path ?? ""), v = readLength(t.value, this.desk.store.page.units);
      if (!l?.at) return;
      if (v === null) { this.desk.store.set({ toast: `"${t.value}" is no length; write 2.4 m, 2,4, 240 cm or 7 ft 10 in` }); return; }
      const at: V3 = [...l.at];
      at[Number(t.dataset.n)] = v;
      this.desk.move({ what: "light", path: l.path, at }, "");
    }
  }

  private down(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-drag]"), svg = e.currentTarget as Element;
    if (!t) return;
    e.preventDefault();
    if (t instanceof HTMLElement || t instanceof SVGElement) t.focus({ preventScroll: true });
    this.merge = this.desk.merge("drag");
    const d = this.show.ladderDrawing, near = d ? ringNear(d, e.clientY - svg.getBoundingClientRect().top) : -1;
    this.ring = near >= 0 ? near : Number(t.getAttribute("data-n"));
    this.desk.selectPoint(this.ring);
  }

  private move(e: PointerEvent): void {
    const s = this.desk.store, p = s.page;
    if (this.ring < 0) return;
    const d = this.show.ladderDrawing, svg = document.getElementById("lad"), name = p.view?.points[this.ring]?.name;
    if (!d || !svg || !name) return;
    const sc = ladderScale(d), stops = Math.round(clamp(stopsAt(sc, e.clientY - svg.getBoundingClientRect().top), sc.lo, sc.hi) * 10) / 10;
    if (p.drag?.stops === stops) return;
    s.set({ drag: { what: "ring", path: name, stops } });
    this.desk.ring(this.ring, stops, this.merge);
  }

  private up(): void {
    if (this.ring < 0) return;
    this.ring = -1;
    this.merge = "";
    if (this.desk.store.page.drag) void this.settle();
  }

  /** Lets go once the last change has been answered and drawn. */
  private async settle(): Promise<void> {
    const s = this.desk.store, mine = s.page.drag;
    for (let k = 0; k < 200 && !(this.desk.editor.idle && !s.page.asking && (s.page.view?.revision ?? 0) >= (s.page.state?.good_revision ?? 0)); k++) await new Promise((r) => setTimeout(r, 20));
    if (s.page.drag === mine || this.ring < 0) s.set({ drag: null, trial: { k: new Map() } });
  }

  /** Keys on what has the focus: arrows move the ring of a slider; Enter and space press. */
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
    if (act && act === t && t instanceof SVGElement && (e.key === "Enter" || e.key === " ")) { this.act(act); return true; }
    return false;
  }
}
