// Draws every part of the page from the store.
import type { Box } from "../draw/frame.ts";
import { hours } from "../draw/hours.ts";
import { closeRange, ladder, type LadderDrawing } from "../draw/ladder.ts";
import { attribute, put } from "../draw/morph.ts";
import type { Place } from "../draw/place.ts";
import { levels, ringOf } from "../model/light.ts";
import type { Pictures } from "../state/pictures.ts";
import type { Fields } from "../state/fields.ts";
import { inHand, textShown, trialOf, type Page } from "../state/store.ts";
import { tint } from "../units/colour.ts";
import { m } from "../units/markup.ts";
import { bar, over, phone } from "./bar.ts";
import { cameraStrip, spotCard, toolPanel, tools, views } from "./frame.ts";
import { hourStrip } from "./hours.ts";
import { contourSay, planBar, thingStrip } from "./planbar.ts";
import { PlanPart } from "./planpart.ts";
import { lightRows } from "./lights.ts";
import { showEdit } from "./showedit.ts";
import { Picture, tryWishes } from "./picture.ts";
import { cardWishes, setupCards } from "./setups.ts";
import { waysOut, wayWishes } from "./ways.ts";
import { why } from "../model/why.ts";
import { allMessages, checks, gutter, ladderFoot, messageList, textHead } from "./text.ts";

const $ = <T extends Element>(id: string): T => {
  const e = document.getElementById(id);
  if (!e) throw new Error(`no ${id}`);
  return e as unknown as T;
};

/** What another place of the thing in the hand brings along. All but the drag shows with the readings. */
const ofHand: ReadonlySet<keyof Page> = new Set<keyof Page>(["drag", "zoom", "pending", "waiting", "state", "disk", "setup"]);

export class Show {
  ladderDrawing: LadderDrawing | null = null;
  private close: readonly [number, number] | null = null;
  place: Place | null = null;
  /** Who fetches the fields behind the contours; says what they should be of. */
  fields: Fields | null = null;
  private readonly planPart = new PlanPart();
  readonly frame: Picture;
  private readonly sizes = new Map<Element, [number, number]>();
  private readonly watcher: ResizeObserver;

  /** again draws the page once more. */
  constructor(private readonly again: () => void, private readonly pictures: Pictures | null = null) {
    this.watcher = new ResizeObserver((list) => {
      for (const e of list) this.sizes.set(e.target, [e.contentRect.width, e.contentRect.height]);
      again();
    });
    this.frame = new Picture((e) => this.size(e));
  }

  get box(): Box { return this.frame.box; }

  /** Draws what the page says; while a hand moves a thing of the place the plan alone, until more than that is another. */
  all(p: Page, changed: ReadonlySet<keyof Page>): void {
    if (inHand(p) && [...changed].every((k) => ofHand.has(k))) { attribute($("page"), "data-busy", "1"); this.plan(p); return; }
    const page = $<HTMLElement>("page"), quiet = p.drag !== null;
    attribute(document.documentElement, "data-theme", p.theme);
    attribute(document.documentElement, "data-neutral", p.neutral ? "1" : "");
    for (const [name, is] of Object.entries({
      pane: p.pane, side: p.side, beside: p.beside, edit: p.edit, shape: (p.view?.camera?.sensor_width ?? 2) > (p.view?.camera?.sensor_height ?? 3) ? "wide" : "upright", phone: p.phone, link: p.link, tool: p.tool,
      busy: p.drag || p.asking || p.pending || p.view?.revision !== p.state?.good_revision ? "1" : "",
      revision: String(p.view?.revision ?? -1), readings: p.readings ? `${p.readings.revision} ${p.readings.word}` : "", last: p.film?.head.last ? "1" : "",
      millis: p.readings ? p.readings.milliseconds.toFixed(0) : "", film: p.film ? String(p.film.head.samples) : "",
    })) attribute(page, `data-${name}`, is);
    const title = p.state ? `${p.state.title} · halfstop` : "halfstop";
    if (document.title !== title) document.title = title;
    put($("bar"), bar(p), quiet);
    put($("over"), over(p), quiet);
    put($("phone"), phone(p), quiet);
    this.picture(p);
    this.ladder(p);
    this.plan(p);
    put($("lights"), lightRows(p, (l) => tint(l.tint, 0.5)), quiet);
    this.hours(p);
    this.text(p);
    showEdit(p);
  }

  /** Width and height of an element without asking for the page's layout in the middle of drawing it. */
  private size(e: Element): [number, number] {
    let s = this.sizes.get(e);
    if (!s) {
      s = [e.clientWidth, e.clientHeight];
      this.sizes.set(e, s);
      this.watcher.observe(e);
    }
    return s;
  }

  private tintY(p: Page): number { return p.theme === "booth" ? 0.56 : 0.15; }

  private picture(p: Page): void {
    const v = p.view, c = v?.camera, quiet = p.drag !== null;
    if (v && c) {
      put($("views"), views(p, (l, on) => tint(l.tint, on ? 0.3 : this.tintY(p))));
      put($("tools"), tools(p), quiet);
      put($("toolp"), toolPanel(p), quiet);
      put($("spot"), spotCard(p), quiet);
      put($("cam"), cameraStrip(c, p), quiet);
      put($("fault"), p.fault ? m`<p role="alert"><b>The picture could not be computed.</b> ${p.fault} <button data-act="again">try again</button></p>` : m``);
    }
    this.frame.show(p);
    this.wish(p);
  }

  private wishes = "";

  /** Says which small pictures are worth computing: what is tried, then the screen that is open. Nothing while something is dragged. */
  private wish(p: Page): void {
    if (p.drag || p.pending || p.asking || p.link === "lost") return;
    const list = [...tryWishes(p), ...(p.pane === "ways" ? wayWishes(p) : []), ...(p.pane === "setups" ? cardWishes(p) : [])];
    const key = list.map((w) => w.key).join("\n");
    if (key === this.wishes) return;
    this.wishes = key;
    this.pictures?.want(list);
  }

  private ladder(p: Page): void {
    const v = p.view, svg = $<SVGSVGElement>("lad"), r = p.readings;
    if (!v || !r || r.units.length !== v.points.length) {
      put($("foot"), ladderFoot(p, []));
      if (!v || !r) { put(svg, m``); this.ladderDrawing = null; }
      return;
    }
    const lv = levels(v, r, trialOf(p), p.solo);
    const byLayer = r.readings.layers.map((_, i) => v.lights.find((l) => l.layer === i));
    const rows = v.points.map((q, i) => {
      const l = lv[i] ?? { stops: -Infinity, f: 0, shares: [], onPicture: false };
      let ring = ringOf(v, r, i, lv);
      if (p.drag?.what === "ring" && p.drag.path === q.name && p.drag.stops !== undefined) ring = { ...ring, held: true, stops: p.drag.stops, lo: p.drag.stops, hi: p.drag.stops };
      return { n: i + 1, name: q.name, level: l, ring, sigma: r.readings.points[i]?.error_stops ?? 0 };
    });
    const box = this.size(svg), w = Math.round(box[0]), h = Math.round(box[1]);
    const c = v.camera;
    const y = this.tintY(p);
    this.ladderDrawing = {
      w, h, rows, selected: p.point, colours: byLayer.map((l) => (l ? tint(l.tint, y) : "rgb(150,150,150)")),
      clip: c?.clip_stops ?? 3, floor: c?.floor_stops ?? -9, tone: c?.exposure.tone ?? { join: 0.5, white: 1.404, power: 1.8 },
    };
    // The range stands while a ring is dragged, or the ring would run away from the hand.
    if (p.spread) this.ladderDrawing.close = this.close = p.drag && this.close ? this.close : closeRange(this.ladderDrawing);
    else this.close = null;
    if (w > 50 && h > 80) {
      attribute(svg, "viewBox", `0 0 ${w} ${h}`);
      put(svg, ladder(this.ladderDrawing));
    }
    attribute($("spread"), "aria-pressed", p.spread ? "true" : "false");
    put($("foot"), ladderFoot(p, rows.map((q) => ({
      n: q.n, name: q.name, stops: q.level.stops, ring: q.ring, why: why(q.level.stops - q.ring.stops, q.level.shares, byLayer),
      shares: q.level.shares.map((share, i) => ({ share, name: (!byLayer[i]?.house && byLayer[i]?.role) || byLayer[i]?.name || "", colour: byLayer[i] ? tint(byLayer[i].tint, 0.5) : "#999" })).filter((x) => x.share > 0.01).sort((a, b) => b.share - a.share),
    }))));
  }

  private plan(p: Page): void {
    const v = p.view, svg = $<SVGSVGElement>("plan"), box = this.size(svg);
    const w = Math.round(box[0]), h = Math.round(box[1]);
    if (!v || w < 60 || h < 60) return;
    const y = this.tintY(p), wanted = this.fields?.wanted(p) ?? "", quiet = p.drag !== null, old = wanted !== "" && (p.fieldsOf !== wanted || p.drag?.at !== undefined);
    put($("planbar"), planBar(p), quiet);
    put($("ctsay"), contourSay(p, old && p.fields !== null));
    put($("thing"), thingStrip(p), quiet);
    const drawn = this.planPart.draw(p, v, w, h, (l) => tint(l.tint, y), old);
    this.place = drawn.place;
    attribute(svg, "viewBox", `0 0 ${w} ${h}`);
    put(svg, drawn.markup);
    const serious = allMessages(p).filter((x) => x.severity === "error" || x.severity === "finding");
    put($("says"), m`${[...new Set(serious.map((x) => x.text))].slice(0, 2).map((t) => m`<button data-act="pane" data-arg="checks">${t}</button>`)}`);
  }

  private hours(p: Page): void {
    const v = p.view, h = v?.hours, day = v?.lights.find((l) => l.kind === "daylight"), svg = document.getElementById("hoursvg");
    const [w, high] = svg ? this.size(svg) : [0, 0];
    const drawn = h && w > 60 ? hours(h, Math.round(w), Math.round(high), p.hour ?? h.at, day ? tint(day.tint, this.tintY(p)) : "var(--line-2)", p.units) : m``;
    put($("hours"), hourStrip(p, drawn), p.drag !== null);
    // Its size is known once it is there.
    const now = document.getElementById("hoursvg");
    if (now && now !== svg) { this.size(now); this.again(); }
  }

  private text(p: Page): void {
    if (textShown(p)) {
      put($("texthead"), textHead(p));
      const area = $<HTMLTextAreaElement>("text");
      if (area.value !== p.text && !p.textDirty) {
        const at = area.selectionStart, top = area.scrollTop;
        area.value = p.text;
        if (document.activeElement === area) area.setSelectionRange(at, at);
        area.scrollTop = top;
      }
      area.readOnly = p.textRevision < 0 && !p.textDirty; // nothing to type into yet
      // What typing starts from: the text as it stands in the pane, not one that is on its way there.
      if (!p.textDirty && area.defaultValue !== area.value) area.defaultValue = area.value;
      put($("gutter"), gutter(p));
      $("gutter").scrollTop = area.scrollTop;
      put($("textsays"), messageList(p, ["error", "finding"]));
    }
    if (p.pane === "ways") put($("ways"), waysOut(p));
    if (p.pane === "setups") put($("setups"), setupCards(p));
    if (p.pane === "checks") put($("checks"), checks(p));
  }
}
