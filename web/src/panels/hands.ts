// Presses, strokes and typing become actions; drags of wishes in the
// ladder. The plan and the picture have hands of their own.
import type { Press } from "../actions/action.ts";
import { isField } from "../actions/action.ts";
import type { Desk } from "../actions/desk.ts";
import { actionOf, run, stroke } from "../actions/registry.ts";
import { stopsAt } from "../draw/ladder.ts";
import { typing } from "../draw/morph.ts";
import { clamp } from "../units/stops.ts";
import type { Show } from "./show.ts";

type Field = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;
const field = (t: EventTarget | null): t is Field => t instanceof HTMLInputElement ||
  t instanceof HTMLSelectElement || t instanceof HTMLTextAreaElement;

/** What an element says beside its action's name. */
function pressOf(t: Element): Partial<Press> {
  const at = (k: string): string => t.getAttribute(`data-${k}`) ?? "",
    x: Partial<Press> = { arg: at("arg"), path: at("path"), n: Number(at("n") || 0), text: at("text") };
  if (at("by")) x.by = Number(at("by")) < 0 ? -1 : 1;
  if (!field(t)) return x;
  x.text = t instanceof HTMLInputElement && t.type === "checkbox" ? (t.checked ? "on" : "") : t.value;
  if (at("act") === "fieldpart")
    x.arg = JSON.stringify([...(t.closest(".tuple")?.querySelectorAll("input") ?? [])].map((e) => e.value));
  return x;
}

/** Goes down or up the list of actions; above its first is the field. */
function step(from: Element, down: boolean): void {
  const all = [...document.querySelectorAll<HTMLElement>(".help .seek, .help .do")],
    to = all[Math.max(0, Math.min(all.length - 1, all.indexOf(from as HTMLElement) + (down ? 1 : -1)))];
  to?.focus();
  to?.scrollIntoView({ block: "nearest" });
}

export class Hands {
  private merge = "";
  private ring = -1;
  private typed = "";
  private entered = false;
  private stroke = "";

  constructor(private readonly desk: Desk, private readonly show: Show) {
    document.addEventListener("click", (e) => this.click(e));
    document.addEventListener("input", (e) => this.input(e));
    document.addEventListener("change", (e) => this.changed(e));
    document.addEventListener("focusin", (e) => {
      if (e.target instanceof HTMLInputElement && e.target.hasAttribute("data-pick")) e.target.select();
    });
    addEventListener("keydown", (e) => this.whileOpening(e), { capture: true });
    // A stroke that did something types nothing into a field that opens while the key is still down.
    addEventListener("keydown", (e) => { this.stroke = e.defaultPrevented ? e.key : ""; });
    addEventListener("keyup", () => { this.stroke = ""; }, { capture: true });
    document.addEventListener("beforeinput", (e) => { if (this.stroke && e.data === this.stroke) e.preventDefault(); });
    document.getElementById("lad")?.addEventListener("pointerdown", (e) => this.down(e));
    addEventListener("pointermove", (e) => this.move(e));
    addEventListener("pointerup", () => this.up());
    addEventListener("pointercancel", () => this.up());
  }

  private click(e: MouseEvent): void {
    const from = e.target as Element | null, t = from?.closest("[data-act]");
    if (!from || from.closest("#frame [data-drag]")) return;
    if (from.closest("#frame") && !t) { this.spot(e); return; }
    if (!t || field(t) || (t.matches(".lt,.lrow") && from.closest("input,select,label,.places"))) return;
    if (t.getAttribute("aria-disabled") === "true") return;
    const list = t.getAttribute("data-from") === "list";
    if (list) this.desk.store.set({ help: false, seek: "" });
    run(this.desk, t.getAttribute("data-act") ?? "", pressOf(t));
    // What was pressed may be gone with what it did: the keyboard goes on in the form.
    if (t.closest("#edform")) setTimeout(() => {
      if (document.activeElement === document.body) document.getElementById("edform")?.focus({ preventScroll: true });
    }, 250);
  }

  private spot(e: MouseEvent): void {
    const r = document.getElementById("frame")?.getBoundingClientRect(), b = this.show.box;
    if (!r || !this.desk.store.page.view?.camera) return;
    if (this.desk.store.page.large === "plan") { run(this.desk, "exchange"); return; }
    const x = (e.clientX - r.left - b.x) / b.w, y = (e.clientY - r.top - b.y) / b.h;
    if (x >= 0 && x <= 1 && y >= 0 && y <= 1) void this.desk.spot(x, y);
  }

  private input(e: Event): void {
    const t = e.target, act = t instanceof HTMLElement ? t.dataset.act ?? "" : "";
    if (field(t)) typing.add(t);
    if (t instanceof HTMLTextAreaElement && t.id === "text") this.desk.typed(t.value, t.defaultValue);
    else if (act && field(t) && actionOf(act)?.live) run(this.desk, act, pressOf(t));
  }

  private changed(e: Event): void {
    const t = e.target, act = t instanceof HTMLElement ? t.dataset.act ?? "" : "";
    if (field(t)) typing.delete(t);
    if (!field(t) || !act) return;
    if (actionOf(act)?.live) { this.desk.letGo(); return; }
    run(this.desk, act, pressOf(t));
    // A list that only adds goes back to its first entry.
    if (t instanceof HTMLSelectElement && act.startsWith("edadd")) t.value = "";
  }

  /** While a field is being opened what is typed is kept for it, and no shortcut acts. */
  private whileOpening(e: KeyboardEvent): void {
    const key = this.desk.store.page.opening;
    if (!key || e.ctrlKey || e.metaKey || e.altKey || e.key === "Escape" || e.key === "Tab") return;
    if (isField(document.activeElement) && document.activeElement?.getAttribute("data-key") === key) return;
    if (e.key.length === 1) this.typed += e.key;
    else if (e.key === "Backspace") this.typed = [...this.typed].slice(0, -1).join("");
    else if (e.key === "Enter") this.entered = true;
    this.stroke = e.key;
    e.preventDefault();
    e.stopPropagation();
  }

  private openedAt = 0;

  /** Lets the field that is being opened have the focus once it is there, with what was typed until then. */
  opened(): void {
    const s = this.desk.store, key = s.page.opening;
    if (!key) { this.typed = ""; this.entered = false; this.openedAt = 0; return; }
    this.openedAt ||= Date.now();
    const f = document.querySelector<Field>(`[data-key="${CSS.escape(key)}"]`);
    if (!f || f.getClientRects().length === 0) {
      if (Date.now() - this.openedAt > 6000) s.set({ opening: "" });
      else setTimeout(() => this.opened(), 40);
      return;
    }
    f.focus({ preventScroll: false });
    if (!(f instanceof HTMLSelectElement)) f.select();
    if (this.typed && !(f instanceof HTMLSelectElement)) {
      f.value = this.typed;
      f.setSelectionRange(f.value.length, f.value.length);
      f.dispatchEvent(new InputEvent("input", { bubbles: true }));
    }
    const enter = this.entered;
    this.typed = "";
    this.entered = false;
    this.openedAt = 0;
    s.set({ opening: "" });
    if (enter) { f.dispatchEvent(new Event("change", { bubbles: true })); f.blur(); }
  }

  private down(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-drag=ring]");
    if (!t || (e.pointerType === "mouse" && e.button !== 0)) return;
    e.preventDefault();
    if (t instanceof SVGElement) t.focus({ preventScroll: true });
    this.merge = this.desk.merge("drag");
    this.ring = Number(t.getAttribute("data-n"));
    this.desk.selectPoint(this.ring);
  }

  private move(e: PointerEvent): void {
    const s = this.desk.store, p = s.page, d = this.show.ladder.drawing, name = p.view?.points[this.ring]?.name;
    if (this.ring < 0 || !d || !name) return;
    const svg = document.querySelector(`#lad [data-key="ring${this.ring}"]`)?.closest("svg");
    if (!svg) return;
    const stops = Math.round(clamp(stopsAt(d.scale, e.clientX - svg.getBoundingClientRect().left), d.scale.lo,
      d.scale.hi) * 10) / 10;
    if (p.drag?.stops === stops || (!p.drag && Math.abs(stops - this.desk.ringAt(this.ring)) < 0.05)) return;
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
    const open = (): boolean => !this.desk.editor.idle || s.page.asking ||
      (s.page.view?.revision ?? 0) < (s.page.state?.good_revision ?? 0);
    for (let k = 0; k < 200 && open(); k++) await new Promise((r) => setTimeout(r, 20));
    if (s.page.drag === mine || this.ring < 0) s.set({ drag: null, trial: { k: new Map() } });
  }

  /** Keys on what has the focus, then the shortcuts. */
  key(e: KeyboardEvent): boolean {
    const t = e.target;
    if (!(t instanceof Element)) return stroke(this.desk, e);
    if (t.closest(".help") && (e.key === "ArrowDown" || e.key === "ArrowUp")) {
      step(t, e.key === "ArrowDown");
      return true;
    }
    const what = t.getAttribute("data-drag"), way = { ArrowLeft: -1, ArrowRight: 1 }[e.key] as -1 | 1 | undefined;
    if (what === "ring" && way && !e.ctrlKey && !e.metaKey && !e.altKey) {
      run(this.desk, "more", { arg: "this", n: Number(t.getAttribute("data-n")), by: way, far: e.shiftKey });
      return true;
    }
    if (field(t) && e.key === "Escape") { t.value = t.getAttribute("value") ?? t.value; }
    if (t instanceof HTMLInputElement && e.key === "Enter" && t.dataset.enter) {
      if (t.dataset.enter === "first") document.querySelector<HTMLElement>(".dos .do:not([aria-disabled])")?.click();
      else { typing.delete(t); run(this.desk, t.dataset.enter, pressOf(t)); }
      return true;
    }
    if (t.hasAttribute("data-act") && t instanceof SVGElement && (e.key === "Enter" || e.key === " ")) {
      run(this.desk, t.getAttribute("data-act") ?? "", pressOf(t));
      return true;
    }
    return stroke(this.desk, e);
  }
}
