// One store; panels are told once a frame that something changed.
import { daylightStops } from "../model/hour.ts";
import type { Trial } from "../model/light.ts";
import { startEdit, type EditPage } from "./edit.ts";
import type { Thing } from "../model/things.ts";
import type { Edit, FieldsView, TryView, WaysView, DiskState, KitView, LayersHead, ReadingsView, SetupView, SpotView, State } from "../model/wire.ts";

/** A pass of the picture as it came, half floats by layer. */
export interface Film {
  head: LayersHead;
  data: Uint16Array;
}

export type Pane = "desk" | "edit" | "text" | "checks" | "ways" | "setups";

/** A picture as it was: light and what weighed it. */
export interface Shot {
  film: Film;
  view: SetupView;
}

/** What lies beside the picture: what was before the last change, another setup, or a change that is only tried. */
export interface Compare {
  with: "before" | "setup" | "try";
  setup: number;
  /** Where the wipe stands, share of the mount's width; left of it lies the other picture. */
  at: number;
  /** The other picture alone. */
  whole: boolean;
}

/** A change that is tried before it is taken. */
export interface Tryout {
  name: string;
  edits: Edit[];
  path: string;
  part: string;
  value: string;
  view: TryView | null;
  failed: string;
}

/** Everything the page knows. Of the shoot nothing but what the server said; the rest is this page's own. */
export interface Page extends EditPage {
  link: "opening" | "live" | "lost";
  state: State | null;
  setup: number;
  view: SetupView | null;
  readings: ReadingsView | null;
  film: Film | null;
  filmVersion: number;
  trial: Trial;
  point: number;
  light: string;
  frame: "picture" | "stops" | "light";
  frameLight: string;
  solo: string;
  locks: Set<string>;
  drag: Drag | null;
  spot: SpotView | null;
  theme: "booth" | "paper";
  pane: Pane;
  side: "lights" | "plan";
  phone: "frame" | "ladder" | "plan" | "lights";
  help: boolean;
  asking: boolean;
  /** A change is on its way to the program. */
  pending: boolean;
  toast: string;
  text: string;
  textRevision: number;
  textDirty: boolean;
  kit: KitView | null;
  disk: DiskState | null;
  ways: WaysView | null;
  /** The way out that the keys have highlighted: number of what is missed, number of the way. */
  way: string;
  /** Share of the search for ways out that is done; below zero: none under way. */
  searching: number;
  zoom: { x: number; y: number; k: number };
  /** Before the last change of this setup, as it was seen here. */
  before: Shot | null;
  compare: Compare | null;
  /** Pictures of setups as they were last seen here, by place in the file. */
  shots: Map<number, Shot>;
  tryout: Tryout | null;
  /** Small pictures that are there or on their way: addresses, empty while being computed, "!" with why not. */
  pictures: Map<string, string>;
  /** Why the last picture could not be computed; what is shown is the last good one. */
  fault: string;
  /** The spot under the keyboard, shares of the picture. */
  cursor: { x: number; y: number } | null;
  /** What is open under the picture. */
  tool: "" | "crop" | "cover";
  /** Everything but the picture painted mid-grey, to judge by. */
  neutral: boolean;
  /** The ladder shows only the stops in use. */
  spread: boolean;
  /** The points are drawn on the picture. */
  balloons: boolean;
  /** Changes that have no answer yet. */
  waiting: number;
  /** Setup whose name is being written, or that is asked about being deleted. */
  naming: number;
  deleting: number;
  /** What is selected in the plan: typed dimensions are about it. */
  thing: Thing | null;
  snap: boolean;
  contours: "off" | "meter" | "lights";
  /** Height of the contours, metres; null: the sitter's face. */
  contourZ: number | null;
  fields: FieldsView | null;
  /** The same over the upright plane through the sitter, for the section. */
  section: FieldsView | null;
  /** What the fields are of, see fieldsKey. */
  fieldsOf: string;
  sectionOf: string;
  fieldsBusy: boolean;
  /** Minute of the day shown; null: the setup's own. */
  hour: number | null;
  assumes: boolean;
}

/** A drag in progress, in metres or stops. */
export interface Drag {
  what: string;
  path: string;
  at?: [number, number, number];
  stops?: number;
  crop?: [number, number, number, number];
  note?: string;
  view?: "plan" | "section";
  /** Lines that it keeps to. */
  lines?: { axis: 0 | 1 | 2; at: number }[];
  /** Why it cannot be there. */
  why?: string;
}

/** A hand holds something of the place: what it does comes many times a second. */
export const inHand = (p: Page): boolean => p.drag?.at !== undefined;

/** What is tried out now: settings on their way, and the hour. */
export const trialOf = (p: Page): Trial => (p.hour === null ? p.trial : { ...p.trial, daylight: daylightStops(p.view?.hours, p.hour) });

/** The height of the contours, metres. */
export const contourHeight = (p: Page): number => p.contourZ ?? Math.round((p.view?.sitter?.landmarks.face?.[2] ?? 1.5) * 100) / 100;

/** Where the section's contours are cut: the y of the sitter's face, or the middle of the room, metres. */
export const sectionY = (p: Page): number => {
  const ys = p.view?.room.outline.map((c) => c[1]) ?? [];
  return Math.round((p.view?.sitter?.landmarks.face?.[1] ?? (ys.length ? (Math.min(...ys) + Math.max(...ys)) / 2 : 0)) * 100) / 100;
};

const start: Page = {
  ...startEdit(),
  link: "opening", state: null, setup: 0, view: null, readings: null, film: null, filmVersion: 0, trial: { k: new Map() }, point: 0, light: "", frame: "picture",
  frameLight: "", solo: "", locks: new Set(), drag: null, spot: null, theme: "booth", pane: "desk", side: "lights", phone: "frame", help: false, asking: false, pending: false,
  toast: "", text: "", textRevision: -1, textDirty: false, kit: null, disk: null, ways: null, way: "", searching: -1, zoom: { x: 0, y: 0, k: 1 },
  before: null, compare: null, shots: new Map(), tryout: null, pictures: new Map(), fault: "", cursor: null, tool: "", neutral: false, spread: false, balloons: true, waiting: 0, naming: -1, deleting: -1,
  thing: null, snap: true, contours: "off",
  contourZ: null, fields: null, fieldsOf: "", section: null, sectionOf: "", fieldsBusy: false, hour: null, assumes: false,
};

/** The file's text is on screen. */
export const textShown = (p: Page): boolean => p.pane === "text" || (p.pane === "edit" && p.beside === "text");

type Listener = (page: Page, changed: ReadonlySet<keyof Page>) => void;

export class Store {
  page: Page = { ...start, ...startEdit(), trial: { k: new Map() }, locks: new Set(), shots: new Map(), pictures: new Map() };
  private readonly listeners: Listener[] = [];
  private changed = new Set<keyof Page>();
  private due = false;

  constructor(private readonly frame: (f: () => void) => void) {}

  on(l: Listener): void { this.listeners.push(l); }

  /** calm: it shows with the next change that is not. */
  set(patch: Partial<Page>, calm = false): void {
    Object.assign(this.page, patch);
    for (const k of Object.keys(patch)) this.changed.add(k as keyof Page);
    if (this.due || calm) return;
    this.due = true;
    this.frame(() => {
      this.due = false;
      const c = this.changed;
      this.changed = new Set();
      for (const l of this.listeners) l(this.page, c);
    });
  }
}
