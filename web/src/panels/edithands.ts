// What is typed, pressed and dragged on the edit screen and the colour chart.
import { outlineEdits, placePath, shiftEdits, type Forms } from "../actions/forms.ts";
import { chartHeight, chartUV } from "../draw/chart.ts";
import * as placing from "../actions/placing.ts";
import { scaleOf } from "../draw/roomplan.ts";
import { find, join, up } from "../model/tree.ts";
import type { OpeningView } from "../model/wire.ts";
import { clamp, plain } from "../units/stops.ts";
import { length } from "../units/measures.ts";
import { chartWidth } from "./picker.ts";

interface Held { what: string; called: string; path: string; n: number; x: number; y: number; s: number;
  moved: boolean; merge: string }

export class EditHands {
  private held: Held | null = null;
  private picking = "";

  constructor(private readonly forms: Forms) {
    // What a field shows while it has the focus is the person's; afterwards it is the file's again.
    document.addEventListener("focusout", () => setTimeout(() => forms.store.set({}), 0));
    document.addEventListener("focusin", (e) => this.beside(e));
    document.getElementById("roomplan")?.addEventListener("pointerdown", (e) => this.down(e));
    document.getElementById("picker")?.addEventListener("pointerdown", (e) => this.chartDown(e));
    addEventListener("pointermove", (e) => { this.move(e); this.chartMove(e); });
    addEventListener("pointerup", (e) => this.up(e));
    document.getElementById("palette")?.addEventListener("pointerdown", (e) => this.takeUp(e));
    document.getElementById("roomplan")?.addEventListener("dblclick", () => {
      if ((forms.store.page.sketch?.length ?? 0) > 2) placing.close(forms.desk);
    });
    addEventListener("pointercancel", () => this.up());
  }

  /** Brings the line of what has the focus into sight in the text beside. */
  private beside(e: FocusEvent): void {
    const p = this.forms.store.page, path = e.target instanceof Element && e.target.closest("#edform")
      ? e.target.getAttribute("data-path") : null;
    const area = document.getElementById("text"),
      line = path ? find(this.forms.root, path)?.line ?? find(this.forms.root, up(path))?.line : undefined;
    if (p.pane !== "edit" || p.beside !== "text" || !area || !line) return;
    const top = (line - 1) * 18 + 10;
    if (top < area.scrollTop + 20 || top > area.scrollTop + area.clientHeight - 60) area.scrollTop =
        Math.max(0, top - area.clientHeight / 3);
    document.querySelectorAll("#gutter .here").forEach((x) => x.classList.remove("here"));
    document.querySelectorAll("#gutter span")[line - 1]?.classList.add("here");
  }

  // The plan of the place.
  /** The place under a pointer, metres; null outside the plan. */
  private placeAt(e: PointerEvent): [number, number] | null {
    const svg = document.getElementById("roomplan"), r = svg?.getBoundingClientRect(), p = this.forms.store.page;
    if (!r || !p.view || e.clientX < r.left || e.clientX > r.right || e.clientY < r.top || e.clientY > r.bottom)
      return null;
    const k = scaleOf(p, p.view, r.width, r.height);
    return [(e.clientX - r.left - k.x0) / k.s, (k.y0 - (e.clientY - r.top)) / k.s];
  }

  private carried = "";
  private began: [number, number] | null = null;

  /** A thing of the palette is taken up: it may be dragged into the plan as well as pressed there. */
  private takeUp(e: PointerEvent): void {
    const t = (e.target as Element).closest("[data-act=placing]"), what = t?.getAttribute("data-arg");
    if (!t || (what !== "window" && what !== "door")) return;
    e.preventDefault();
    this.carried = what;
  }

  private down(e: PointerEvent): void {
    if (this.forms.store.page.placing && this.forms.store.page.placing !== "surfaces") {
      e.preventDefault();
      this.began = this.placeAt(e);
      return;
    }
    const t = (e.target as Element).closest("[data-hold]"), v = this.forms.store.page.view,
      svg = e.currentTarget as Element;
    if (!t || !v) return;
    e.preventDefault();
    if (t instanceof SVGElement) t.focus({ preventScroll: true });
    const r = svg.getBoundingClientRect();
    this.held = { what: t.getAttribute("data-hold") ?? "", called: t.getAttribute("aria-label") ?? "",
      path: t.getAttribute("data-path") ?? "", n: Number(t.getAttribute("data-n")), x: e.clientX, y: e.clientY,
      s: scaleOf(this.forms.store.page, v, r.width, r.height).s, moved: false, merge: this.forms.desk.merge("place") };
  }

  private move(e: PointerEvent): void {
    const h = this.held, p = this.forms.store.page;
    if (this.carried && p.placing !== this.carried && this.placeAt(e)) placing.begin(this.forms.desk, this.carried);
    const at = p.placing && p.placing !== "surfaces" && p.pane === "edit" ? this.placeAt(e) : undefined;
    // The way of the next wall stays while the hand goes to the field for its length.
    if (at || (at === null && !p.sketch)) this.forms.store.set({ ghost: at });
    if (!h) return;
    if (!h.moved && Math.hypot(e.clientX - h.x, e.clientY - h.y) < 3) return;
    h.moved = true;
    this.shift(h, (e.clientX - h.x) / h.s, -(e.clientY - h.y) / h.s, e.altKey);
  }

  /** The hand lets go over the plan: what is placed is placed there; a rectangle that was drawn is the room. */
  private placed(e: PointerEvent): void {
    const s = this.forms.store, at = this.placeAt(e), from = this.began, carried = this.carried;
    this.began = null;
    this.carried = "";
    if (!s.page.placing || s.page.placing === "surfaces" || s.page.pane !== "edit" || !at || !(from || carried)) return;
    const far = from ? Math.min(Math.abs(at[0] - from[0]), Math.abs(at[1] - from[1])) : 0,
      round = (v: number): number => Math.round(v * 20) / 20;
    if (s.page.placing === "walls" && from && far > 0.6 && s.page.sketch?.length === 0) {
      const [x0, x1] = [round(Math.min(at[0], from[0])), round(Math.max(at[0], from[0]))],
        [y0, y1] = [round(Math.min(at[1], from[1])), round(Math.max(at[1], from[1]))];
      s.set({ sketch: [[x0, y0], [x1, y0], [x1, y1], [x0, y1]] });
      placing.close(this.forms.desk);
      return;
    }
    placing.put(this.forms.desk, at, e.altKey, false);
    // A length may be typed at once; where a finger presses, a keyboard would lie over the plan.
    if (s.page.sketch?.length && e.pointerType !== "touch") s.set({ opening: "typedwall" });
  }

  private up(e?: PointerEvent): void {
    if (e) this.placed(e);
    this.picking = "";
    const h = this.held, f = this.forms;
    this.held = null;
    if (h && !h.moved) {
      if (h.what !== "wall" && h.what !== "corner") f.go(/\.(outlets|exits|detectors)\[/.test(h.path)
          ? up(h.path.replace(/\[\d+\]$/, "")) : h.path); else f.go("room");
    }
    else if (h && f.store.page.shift) void this.settle();
  }

  private async settle(): Promise<void> {
    const s = this.forms.store;
    for (let k = 0; k < 150 &&
        !(this.forms.desk.editor.idle && (s.page.view?.revision ?? 0) >= (s.page.state?.good_revision ?? 0)); k++)
      await new Promise((r) => setTimeout(r, 20));
    if (!this.held) s.set({ shift: null });
  }

  private base: { key: string; outline: [number, number][]; opening: OpeningView | null; root: Forms["root"];
    sent: boolean } | null = null;

  /** Moves what is held by dx, dy metres from where it was taken, on a grid of five centimetres unless free. */
  private shift(h: Held, dx: number, dy: number, free: boolean): void {
    const f = this.forms, v = f.store.page.view, u = f.store.page.units;
    if (!v) return;
    if (this.base?.key !== h.merge) this.base = { key: h.merge, outline: f.outline(),
        opening: [...v.room.windows, ...v.room.doors].find((o) => o.path === h.path) ?? null, root: f.root,
        sent: false };
    const b = this.base, grid = (x: number): number => (free ? Math.round(x * 1000) / 1000 : Math.round(x * 20) / 20);
    const o = b.outline, n = o.length;
    if (h.what === "corner" || h.what === "wall") {
      const a = o[h.n] ?? [0, 0], c = o[(h.n + 1) % n] ?? [0, 0], l = Math.hypot(c[0] - a[0], c[1] - a[1]) || 1;
      const out = h.what === "corner" ? f.bend(o, h.n, [grid(a[0] + dx), grid(a[1] + dy)], free)
        : f.push(o, h.n, grid((dx * (c[1] - a[1]) - dy * (c[0] - a[0])) / l));
      const q = out[h.n] ?? [0, 0];
      f.store.set({ shift: { what: h.what, path: h.path, dx, dy, outline: out, note: h.what === "corner"
        ? `corner ${h.n + 1}: ${length(q[0], u)}, ${length(q[1], u)}` : `wall ${h.n + 1} moved` } });
      // A room given by its size gets an outline with the first step; the later ones find it there.
      const all = outlineEdits(b.root, out), first = b.sent ? all.slice(0, 1) : all;
      b.sent = true;
      f.send(`move ${h.what} ${h.n + 1}`, first, h.merge);
      return;
    }
    if (b.opening) {
      const w = b.opening, i = w.wall - 1, a = o[i] ?? [0, 0], c = o[(i + 1) % n] ?? [0, 0],
        l = Math.hypot(c[0] - a[0], c[1] - a[1]) || 1;
      if (h.what.startsWith("end")) {
        const by = grid((dx * (c[0] - a[0]) + dy * (c[1] - a[1])) / l), far = w.from + w.width;
        const [lo, hi] = h.n === 0 ? [clamp(w.from + by, 0, far - 0.05), far]
          : [w.from, clamp(far + by, w.from + 0.05, l)];
        f.store.set({ shift: { what: h.what, path: "", dx: 0, dy: 0, outline: null,
          note: `${w.name || "opening"}: ${length(hi - lo, u)} wide, ${length(lo, u)} from corner ${w.wall}` } });
        f.send(`width of ${w.name || "opening"}`,
          [...(h.n === 0 ? [{ set: join(h.path, "from"), value: `${plain(lo)} m` }] : []),
            { set: join(h.path, "width"), value: `${plain(hi - lo)} m` }], h.merge);
        return;
      }
      const from = clamp(grid(w.from + (dx * (c[0] - a[0]) + dy * (c[1] - a[1])) / l), 0, Math.max(0, l - w.width)),
        by = from - w.from;
      f.store.set({ shift: { what: h.what, path: h.path, dx: ((c[0] - a[0]) / l) * by, dy: ((c[1] - a[1]) / l) * by,
        outline: null, note: `${w.name || h.what}: ${length(from, u)} from corner ${w.wall}` } });
      f.send(`move ${w.name || h.what}`, [{ set: join(h.path, "from"), value: `${plain(from)} m` }], h.merge);
      return;
    }
    const x = grid(dx), y = grid(dy), at = placePath(b.root, h.path);
    f.store.set({ shift: { what: h.what, path: h.path, dx: x, dy: y, outline: null,
      note: `moved by ${length(x, u)}, ${length(y, u)}` } });
    f.send(`move ${h.called}`, shiftEdits(b.root, at, x, y), h.merge);
  }

  /** Arrow keys on what has the focus in the plan and on the chart. */
  key(e: KeyboardEvent): boolean {
    const t = e.target, way = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }[e.key];
    if (!(t instanceof Element)) return false;
    if (t.id === "chart" && way) {
      const a = this.forms.store.page.picking?.asked, step = e.shiftKey ? 0.02 : 0.002;
      void this.forms.colour({ u: (a?.u ?? 0.2) + (way[0] ?? 0) * step, v: (a?.v ?? 0.47) + (way[1] ?? 0) * step },
        true, "chart-keys");
      return true;
    }
    const what = t.getAttribute("data-hold");
    if (!what || this.forms.store.page.pane !== "edit") return false;
    if (e.key === "Enter" || e.key === " ") {
      this.forms.go(what === "wall" || what === "corner" ? "room" : t.getAttribute("data-path") ?? "room");
      return true;
    }
    if (!way) return false;
    const step = e.shiftKey ? 0.5 : 0.05, desk = this.forms.desk;
    if (e.repeat && this.forms.store.page.turns > 0) return true;
    desk.inTurn(() => {
      this.shift({ what, called: t.getAttribute("aria-label") ?? "", path: t.getAttribute("data-path") ?? "",
        n: Number(t.getAttribute("data-n")), x: 0, y: 0, s: 1, moved: true, merge: this.forms.desk.merge("place") },
        (way[0] ?? 0) * step, (way[1] ?? 0) * step, true);
      return this.settle();
    });
    return true;
  }

  // The chart.
  private chartDown(e: PointerEvent): void {
    if (!(e.target as Element).closest("#chart")) return;
    e.preventDefault();
    document.getElementById("chart")?.focus({ preventScroll: true });
    this.picking = this.forms.desk.merge("chart");
    this.chartMove(e);
  }

  private chartMove(e: PointerEvent): void {
    const svg = document.getElementById("chart");
    if (!this.picking || !svg) return;
    const r = svg.getBoundingClientRect(), w = chartWidth(),
      [u, v] = chartUV(((e.clientX - r.left) * w) / r.width, ((e.clientY - r.top) * w) / r.width, w, chartHeight(w));
    void this.forms.colour({ u: clamp(u, 0, 0.65), v: clamp(v, 0.01, 0.62) }, true, this.picking);
  }
}
