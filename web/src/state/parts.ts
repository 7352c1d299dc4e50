// What the page knows, in parts: each has its own fields and what they begin with.
import type { Thing } from "../model/things.ts";
import type {
  Comparison, LibraryView, RelightView, SetupRef,
  DayView, DiskState, Edit, FieldsView, KitView, LayersHead, PaperView, ReadingsView, SetupView, SpotView, State,
    TryView, WaysView,
} from "../model/wire.ts";
import type { Trial } from "../model/light.ts";

/** A pass of the picture as it came, half floats by layer. */
export interface Film {
  head: LayersHead;
  data: Uint16Array;
}

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

export type Pane = "desk" | "day" | "library" | "scout" | "kit" | "edit" | "text" | "checks" | "ways" | "setups";
export type Part = "frame" | "ladder" | "plan" | "lights";

/** The link to the program, and what it said of the shoot. */
export interface LinkPart {
  link: "opening" | "live" | "lost";
  state: State | null;
  disk: DiskState | null;
  kit: KitView | null;
  /** A change is on its way to the program. */
  pending: boolean;
  /** Changes that have no answer yet. */
  waiting: number;
  /** Presses that go by what there is, and wait for what was asked before them. */
  turns: number;
  asking: boolean;
  /** When the file last came to hold everything while this page looked, ms since 1970; 0: not since it was opened. */
  savedAt: number;
  /** When the plan that is shown was last without mistakes, ms since 1970. */
  goodAt: number;
  /** A sentence for the person; it goes by itself. */
  toast: string;
}

/** The setup that is shown, with its readings and what is tried out on it. */
export interface SetupPart {
  setup: number;
  view: SetupView | null;
  readings: ReadingsView | null;
  /** Names of the setup's points in the order of their numbers, which they keep. */
  numbers: readonly string[];
  trial: Trial;
  /** The live picture is switched off, and why it is not there where it is on. */
  liveOff: boolean;
  liveWhy: string;
  drag: Drag | null;
  point: number;
  light: string;
  /** What was selected last: the arrow keys are about it. */
  last: "point" | "light";
  solo: string;
  locks: Set<string>;
  /** Minute of the day shown; null: the setup's own. */
  hour: number | null;
  assumes: boolean;
  /** The ladder's rows: wished points, all of them, or as there are wishes. */
  unfold: boolean | null;
  /** The house's lights are listed one by one, however many there are. */
  house: boolean;
}

/** The picture and what lies on it and beside it. */
export interface PicturePart {
  film: Film | null;
  filmVersion: number;
  /** When the picture that is in work was begun, ms since 1970; 0: none is. */
  filmFrom: number;
  /** The picture shown is of the plan before a change; the first pass of the next has not come. */
  filmOld: boolean;
  frame: "picture" | "stops" | "light";
  frameLight: string;
  spot: SpotView | null;
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
  /** The points are drawn on the picture. */
  balloons: boolean;
}

/** The plan, the section and their contours. */
export interface PlanPart {
  zoom: { x: number; y: number; k: number };
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
}

/** What is on the screen and where. */
export interface DeskPart {
  theme: "booth" | "paper";
  pane: Pane;
  phone: Part;
  /** What has the large place: the picture, or plan and section. */
  large: "picture" | "plan";
  /** Everything but the picture painted mid-grey, to judge by. */
  neutral: boolean;
  /** The list of actions is open. */
  help: boolean;
  /** What is looked for in it. */
  seek: string;
  /** data-key of a field that is being opened: what is typed meanwhile goes into it. */
  opening: string;
  /** Setup whose name is being written, or that is asked about being deleted. */
  naming: number;
  deleting: number;
  /** Both texts are shown where the file on disk differs. */
  both: boolean;
}

/** The file's text as it stands in the text pane. */
export interface TextPart {
  text: string;
  textRevision: number;
  textDirty: boolean;
  /** The text of the server that what is typed was made from. */
  textBase: string;
  /** Another page changed the lines that are being typed in. */
  clash: boolean;
}

/** The day: its plan, what happens of it, its kit and its papers. */
export interface DayPart {
  day: DayView | null;
  /** A day is asked for; "all" with the kit and what to give up. */
  dayBusy: "" | "quick" | "all";
  /** What time it is for the day: not yet, the clock's, or as typed, seconds after midnight. */
  dayNow: "before" | "clock" | number;
  dayPart: "plan" | "kit" | "papers" | "found";
  /** ID of the task that is selected. */
  dayTask: string;
  /** Name of the setup that the clock is drawn large for; empty: the whole day. */
  dayZoom: string;
  /** A block in the hand: where it would begin, seconds after midnight, and in whose lane. */
  dayDrag: { task: string; start: number; lane: string } | null;
  /** The paper that is shown, and its size. */
  paper: string;
  paperSize: "a4" | "letter";
  paperMade: PaperView | null;
  /** Share of the papers' light that is computed; below zero: none is in work. */
  paperDone: number;
}

/** The library of shoots and records, what is compared of it, and what is lit again. */
export interface LibraryPart {
  library: LibraryView | null;
  libFolder: string;
  libQuery: string;
  /** Values of facets that must hold, 'pattern=loop'. */
  libPicks: readonly string[];
  /** On a phone: what setups can be narrowed by is unfolded. */
  libFacets: boolean;
  /** What the setups shown are to look like, nearest first. */
  libLike: SetupRef | null;
  /** Up to two that are held against each other; an empty file is the setup on the desk. */
  libMarks: readonly SetupRef[];
  libBusy: "" | "find" | "compare" | "relight";
  /** Share that is done. */
  libDone: number;
  /** Why the last of it could not be done. */
  libFailed: string;
  compared: Comparison | null;
  relit: RelightView | null;
  /** File of the record that is lit again. */
  relitOf: string;
}

/** The ways out and the search for them. */
export interface WaysPart {
  ways: WaysView | null;
  /** The way out that the keys have highlighted: number of what is missed, number of the way. */
  way: string;
  /** Share of the search for ways out that is done; below zero: none under way. */
  searching: number;
}

export const startLink = (): LinkPart => ({
  link: "opening", state: null, disk: null, kit: null, pending: false, waiting: 0, turns: 0, asking: false,
    savedAt: 0, goodAt: 0, toast: "",
});
export const startSetup = (): SetupPart => ({
  setup: 0, view: null, readings: null, numbers: [], trial: { k: new Map() }, drag: null,
    liveOff: false, liveWhy: "", point: 0, light: "", last: "point", solo: "", locks: new Set(),
  hour: null, assumes: false, unfold: null, house: false,
});
export const startPicture = (): PicturePart => ({
  film: null, filmVersion: 0, filmFrom: 0, filmOld: false,
    frame: "picture", frameLight: "", spot: null, before: null, compare: null,
    shots: new Map(),
  tryout: null, pictures: new Map(), fault: "", cursor: null, tool: "", balloons: true,
});
export const startPlan = (): PlanPart => ({
  zoom: { x: 0, y: 0, k: 1 }, thing: null, snap: true, contours: "off", contourZ: null, fields: null, section: null,
    fieldsOf: "",
  sectionOf: "", fieldsBusy: false,
});
export const startDesk = (): DeskPart => ({
  theme: "booth", pane: "desk", phone: "frame", large: "picture", neutral: false, help: false, seek: "",
    opening: "", naming: -1,
  deleting: -1, both: false,
});
export const startText = (): TextPart => ({ text: "", textRevision: -1, textDirty: false, textBase: "",
  clash: false });
export const startDay = (): DayPart => ({
  day: null, dayBusy: "", dayNow: "before", dayPart: "plan", dayTask: "", dayZoom: "", dayDrag: null, paper: "run",
    paperSize: "a4",
  paperMade: null, paperDone: -1,
});
export const startLibrary = (): LibraryPart => ({
  library: null, libFolder: "", libQuery: "", libPicks: [], libFacets: false,
  libLike: null, libMarks: [], libBusy: "", libDone: 0,
    libFailed: "",
  compared: null, relit: null, relitOf: "",
});
export const startWays = (): WaysPart => ({ ways: null, way: "", searching: -1 });
