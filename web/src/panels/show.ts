// Draws the parts of the page that hang on what changed.
import type { Box } from "../draw/frame.ts";
import { hours } from "../draw/hours.ts";
import { onProcessor } from "../draw/mix.ts";
import { attribute, put } from "../draw/morph.ts";
import type { Place } from "../draw/place.ts";
import type { Pictures } from "../state/pictures.ts";
import type { Fields } from "../state/fields.ts";
import { inHand, mistakes, textShown, type Page } from "../state/store.ts";
import { chip } from "../units/colour.ts";
import { m } from "../units/markup.ts";
import { banner, bar, over, phone, stateLine } from "./bar.ts";
import { cameraStrip, noCamera } from "./camera.ts";
import { spotCard, toolPanel, views } from "./frame.ts";
import { hourStrip } from "./hours.ts";
import { LadderPart } from "./ladder.ts";
import { contourSay, planBar, thingStrip } from "./planbar.ts";
import { PlanPart } from "./planpart.ts";
import { lightRows } from "./lights.ts";
import { showEdit } from "./showedit.ts";
import { showDay } from "./day.ts";
import { kitScreen } from "./kit.ts";
import { libraryScreen } from "./library.ts";
import { scoutScreen } from "./scout.ts";
import { Picture, tryWishes } from "./picture.ts";
import { cardWishes, setupCards } from "./setups.ts";
import { staleWhy } from "./says.ts";
import { waysOut, wayWishes } from "./ways.ts";
import { checks, gutter, messageList, textHead } from "./text.ts";
import { button } from "./button.ts";

const $ = <T extends Element>(id: string): T => {
  const e = document.getElementById(id);
  if (!e) throw new Error(`no ${id}`);
  return e as unknown as T;
};

type Names = readonly (keyof Page)[];

/** What another place of the thing in the hand brings along. All but the drag shows with the readings. */
const ofHand: ReadonlySet<keyof Page> = new Set<keyof Page>(["drag", "zoom", "pending", "waiting", "state", "disk",
  "setup", "savedAt", "goodAt"]);

const light: Names = ["view", "readings", "trial", "solo", "hour", "units", "theme", "drag"];
const screen: Names = ["pane", "phone", "large", "neutral"];

interface Panel { on: ReadonlySet<keyof Page>; draw: (p: Page) => void }

export class Show {
  place: Place | null = null;
  /** Who fetches the fields behind the contours; says what they should be of. */
  fields: Fields | null = null;
  readonly ladder: LadderPart;
  readonly frame: Picture;
  private readonly planPart = new PlanPart();
  private readonly sizes = new Map<Element, [number, number]>();
  private readonly watcher: ResizeObserver;
  private readonly panels: Panel[];
  private readonly planPanel: Panel;

  /** again draws the page once more. */
  constructor(private readonly again: () => void, private readonly pictures: Pictures | null = null) {
    this.watcher = new ResizeObserver((list) => {
      for (const e of list) this.sizes.set(e.target, [e.contentRect.width, e.contentRect.height]);
      again();
    });
    this.frame = new Picture((e) => this.size(e), again);
    this.ladder = new LadderPart((e) => this.size(e), (p) => (l) => chip(l.tint, p.theme));
    const panel = (names: Names, draw: (p: Page) => void): Panel => ({ on: new Set(names), draw });
    this.planPanel = panel([...light, ...screen, "zoom", "thing", "snap", "contours", "contourZ", "fields", "section",
      "fieldsOf", "sectionOf", "fieldsBusy", "light", "point", "state"], (p) => this.plan(p));
    this.panels = [
      panel(["state", "view", "setup", "pane", "theme", "help", "units", "textDirty", "waiting", "turns",
        "clash"],
        (p) => put($("bar"), bar(p), p.drag !== null)),
      panel(["state", "view", "goodAt", "setup"], (p) => put($("err"), banner(p))),
      panel(["state", "view", "disk", "both", "text", "help", "seek", "clash", "link", "waiting", "asking", "spot",
        "readings", "searching", "hour", "tryout", "fault", "thing"], (p) => this.over(p)),
      panel(["pane", "phone"], (p) => put($("phone"), phone(p))),
      panel([...light, ...screen, "film", "filmVersion", "frame", "frameLight", "spot", "before", "compare", "shots",
        "tryout", "pictures", "fault", "cursor", "tool", "balloons", "point", "numbers", "state", "setup", "goodAt",
        "link"], (p) => this.picture(p)),
      panel([...light, ...screen, "point", "numbers", "unfold", "asking", "film", "ways", "state"],
        (p) => this.ladder.draw(p, this.frame.bins)),
      this.planPanel,
      panel([...light, ...screen, "light", "house", "kit", "tryout", "pictures"],
        (p) => put($("lights"), lightRows(p, (l) => chip(l.tint, p.theme)), p.drag !== null)),
      panel([...light, ...screen, "assumes", "state"], (p) => this.hours(p)),
      panel(["text", "textRevision", "textDirty", "state", "view", "pane", "beside", "ways", "way", "searching",
        "pictures", "naming", "deleting", "compare", "setup", "hour", "point", "units", "theme", "edit"],
        (p) => this.text(p)),
      panel(["day", "dayBusy", "dayNow", "dayPart", "dayTask", "dayZoom", "dayDrag", "paper", "paperSize", "paperMade",
        "paperDone", "pane", "theme", "state", "units"], (p) => showDay(p, (e) => this.size(e))),
      panel(["library", "libFolder", "libQuery", "libPicks", "libFacets", "libLike", "libMarks", "libBusy", "libDone",
        "libFailed", "compared", "relit", "relitOf", "pane", "state", "setup", "units"], (p) => {
        if (p.pane === "library") put($("library"), libraryScreen(p));
      }),
      panel(["pane", "state", "view", "units", "scout", "scPart", "scPhoto", "scMarks", "scTool",
        "scCursor", "scCorner", "scSent",
        "scBusy", "scFailed", "scRead", "scLights", "scStation", "scStationWhy", "scUnder", "scScan", "scScanBad",
        "scBox", "walk",
          "walkHeight", "setup",
        "readings"], (p) => {
        if (p.pane === "scout") put($("scout"), scoutScreen(p, (id) => {
          const e = document.getElementById(id);
          return e && this.size(e);
        }));
      }),
      panel(["kit", "pane", "state", "units", "gear", "gearTab", "gearQuery", "gearPick", "gearThing", "gearSheet",
        "gearBusy", "gearFailed", "imports", "importBad", "lessons", "lessonsFailed", "lessonsDone", "readPoint",
        "readAlone", "readText", "likeName", "view"], (p) => { if (p.pane === "kit") put($("kit"), kitScreen(p)); }),
      panel(["form", "tree", "treeLost", "node", "open", "beside", "edit", "units", "picking", "shift", "placing",
        "sketch", "ghost", "place", "painting", "view", "state", "pane", "theme"], (p) => showEdit(p)),
    ];
  }

  get box(): Box { return this.frame.box; }

  /**
   * Draws what hangs on what changed; while a hand moves a thing of the
   * place the plan alone, until more than that is another.
   */
  all(p: Page, changed: ReadonlySet<keyof Page>): void {
    if (inHand(p) && [...changed].every((k) => ofHand.has(k))) {
      attribute($("page"), "data-busy", "1");
      this.follow(p);
      return;
    }
    this.page(p);
    const hand = inHand(p) && this.place !== null;
    for (const x of this.panels) {
      if (![...changed].some((k) => x.on.has(k))) continue;
      // The numbers first: the plan follows the hand by itself.
      if (hand && x === this.planPanel) this.follow(p); else x.draw(p);
    }
    if (!hand) this.followed = performance.now();
    put($("state"), stateLine(p), p.drag !== null);
    this.wish(p);
  }

  /** The parts that only time changes: what is in work, and how long it will take. */
  tick(p: Page): void { put($("state"), stateLine(p), p.drag !== null); }

  private followed = 0;
  private later = 0;

  /**
   * The plan follows the hand. Where the browser draws on the processor, which the program needs for
   * the readings, it does so 25 times a second; else with every frame.
   */
  private follow(p: Page): void {
    const wait = onProcessor() ? 40 - (performance.now() - this.followed) : 0;
    if (wait > 4) {
      this.later ||= window.setTimeout(() => { this.later = 0; if (inHand(p)) this.follow(p); }, wait);
      return;
    }
    this.followed = performance.now();
    this.plan(p);
  }

  private page(p: Page): void {
    const page = $<HTMLElement>("page"), c = p.view?.camera, behind = p.view?.revision !== p.state?.good_revision;
    attribute(document.documentElement, "data-theme", p.theme);
    attribute(document.documentElement, "data-neutral", p.neutral ? "1" : "");
    for (const [name, is] of Object.entries({
      pane: p.pane, beside: p.beside, edit: p.edit, shape: (c?.sensor_width ?? 2) > (c?.sensor_height ?? 3) ? "wide"
        : "upright", phone: p.phone, link: p.link,
      tool: p.tool, large: p.large, busy: p.drag || p.asking || p.pending || p.turns || behind ? "1" : "",
        revision: String(p.view?.revision ?? -1), picking: p.picking ? "1" : "",
      readings: p.readings ? `${p.readings.revision} ${p.readings.word}` : "", last: p.film?.head.last ? "1" : "",
        stale: mistakes(p).length ? "1" : "",
      millis: p.readings ? p.readings.milliseconds.toFixed(0) : "", film: p.film ? String(p.film.head.samples) : "",
        solo: p.solo ? "1" : "",
    })) attribute(page, `data-${name}`, is);
    if (c) page.style.setProperty("--aspect", (c.sensor_width / c.sensor_height).toFixed(4));
    const title = p.state ? `${p.state.title || p.state.file} · halfstop` : "halfstop",
      words = p.state ? `${p.state.title || p.state.file}, ${p.view?.name ?? ""}` : "halfstop";
    if (document.title !== title) document.title = title;
    if ($("h1").textContent !== words) $("h1").textContent = words;
    this.swap(p);
  }

  /** Puts plan and picture where they belong; what had the focus in them keeps it. */
  private swap(p: Page): void {
    const plan = p.large === "plan", big = $("bigplace"), low = $("low"), frame = $<HTMLElement>("frame"),
      box = $<HTMLElement>("planbox"), here = document.activeElement;
    if (plan === big.contains(box)) return;
    big.append(plan ? box : frame);
    low.prepend(plan ? frame : box);
    if (here instanceof HTMLElement && (frame.contains(here) || box.contains(here)))
      here.focus({ preventScroll: true });
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

  private over(p: Page): void { put($("over"), over(p), p.drag !== null); }

  private picture(p: Page): void {
    const v = p.view, c = v?.camera, quiet = p.drag !== null;
    if (v) put($("views"), views(p), quiet);
    put($("toolp"), toolPanel(p), quiet);
    put($("spot"), spotCard(p), quiet);
    if (v) put($("cam"), c ? cameraStrip(c, p) : noCamera(p), quiet);
    put($("fault"), p.fault
      ? m`<p role="alert"><b>The picture could not be computed.</b> ${p.fault} ${button(p, "again", "try again")}
        </p>` : m``);
    this.frame.show(p, staleWhy(p));
  }

  private wishes = "";

  /**
   * Says which small pictures are worth computing: what is tried, then the
   * screen that is open. Nothing while something is dragged.
   */
  private wish(p: Page): void {
    if (p.drag || p.pending || p.asking || p.link === "lost") return;
    const list = [...tryWishes(p), ...(p.pane === "ways" ? wayWishes(p) : []),
      ...(p.pane === "setups" ? cardWishes(p) : [])];
    const key = list.map((w) => w.key).join("\n");
    if (key === this.wishes) return;
    this.wishes = key;
    this.pictures?.want(list);
  }

  private plan(p: Page): void {
    const v = p.view, svg = $<SVGSVGElement>("plan"), box = this.size(svg), w = Math.round(box[0]),
      h = Math.round(box[1]);
    if (!v || w < 60 || h < 60) return;
    const wanted = this.fields?.wanted(p) ?? "", quiet = p.drag !== null,
      old = wanted !== "" && (p.fieldsOf !== wanted || p.drag?.at !== undefined);
    put($("planbar"), planBar(p), quiet);
    put($("ctsay"), contourSay(p, old && p.fields !== null));
    put($("thing"), thingStrip(p), quiet);
    const low = $("low");
    if (v.lights.filter((l) => l.at && !l.house).length > 6) low.setAttribute("data-many", ""); else
      low.removeAttribute("data-many");
    const drawn = this.planPart.draw(p, v, w, h, (l) => chip(l.tint, p.theme), old);
    this.place = drawn.place;
    attribute(svg, "viewBox", `0 0 ${w} ${h}`);
    put(svg, drawn.markup);
  }

  private hours(p: Page): void {
    const v = p.view, h = v?.hours, day = v?.lights.find((l) => l.kind === "daylight"),
      svg = document.getElementById("hoursvg"), [w, high] = svg ? this.size(svg) : [0, 0];
    const colour = day ? chip(day.tint, p.theme) : "var(--line-2)";
    const drawn = h && w > 60 ? hours(h, Math.round(w), Math.round(high), p.hour ?? h.at, colour, p.units) : m``;
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
