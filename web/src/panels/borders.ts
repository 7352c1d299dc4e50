// Borders between the panes: dragged or moved by arrow keys, back to their
// own place by a double press; they stay on the device.
import { foundBorders, keepBorders } from "../state/memory.ts";
import { clamp } from "../units/stops.ts";

interface Border { id: string; name: () => string; across: boolean; least: number; most: () => number;
  now: () => number; /** Which way is more. */ way: 1 | -1 }

const shape = (): string => document.getElementById("page")?.dataset.shape ?? "";
const size = (id: string, across: boolean): number => {
  const r = document.getElementById(id)?.getBoundingClientRect();
  return r ? (across ? r.width : r.height) : 0;
};

const all: readonly Border[] = [
  { id: "split-stage", name: () => `stage-${shape()}`, across: true, least: 320, most: () => innerWidth - 380,
    now: () => size("stage", true), way: 1 },
  { id: "split-low", name: () => "low", across: false, least: 90, most: () => innerHeight * 0.6,
    now: () => size("low", false), way: -1 },
];

export class Borders {
  private places = foundBorders();
  private held: { b: Border; at: number; from: number } | null = null;

  constructor() {
    for (const b of all) {
      const e = document.getElementById(b.id);
      e?.addEventListener("pointerdown", (x) => {
        x.preventDefault();
        e.focus();
        this.held = { b, at: b.across ? x.clientX : x.clientY, from: b.now() };
      });
      e?.addEventListener("dblclick", () => this.put(b, null));
      e?.addEventListener("keydown", (x) => {
        const by = ({ ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 } as Record<string, number>)[x.key];
        if (by === undefined || x.ctrlKey || x.metaKey) return;
        x.preventDefault();
        x.stopPropagation();
        this.put(b, b.now() + b.way * by * (x.shiftKey ? 64 : 16));
      });
    }
    addEventListener("pointermove", (e) => {
      const h = this.held;
      if (h) this.put(h.b, h.from + h.b.way * ((h.b.across ? e.clientX : e.clientY) - h.at));
    });
    for (const kind of ["pointerup", "pointercancel"]) addEventListener(kind, () => { this.held = null; });
    this.apply();
  }

  private put(b: Border, to: number | null): void {
    const { [b.name()]: _, ...rest } = this.places;
    this.places = to === null ? rest
      : { ...rest, [b.name()]: Math.round(clamp(to, b.least, Math.max(b.least, b.most()))) };
    keepBorders(this.places);
    this.apply();
  }

  /** Sets what is kept; of another shape of picture it is another. */
  apply(): void {
    const page = document.getElementById("page");
    if (!page) return;
    const set = (name: string, v: number | undefined): void => {
      if (v === undefined) page.style.removeProperty(name); else page.style.setProperty(name, `${v}px`);
    };
    set("--stage", this.places[`stage-${shape()}`]);
    set("--low", this.places["low"]);
    for (const b of all) document.getElementById(b.id)?.setAttribute("aria-valuenow", String(Math.round(b.now())));
  }
}
