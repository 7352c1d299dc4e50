// One store; panels are told once a frame what changed.
import { daylightStops } from "../model/hour.ts";
import type { Trial } from "../model/light.ts";
import { startEdit, type EditPart } from "./edit.ts";
import { startScout, type ScoutPart } from "./scout.ts";
import { startGear, type GearPart } from "./gear.ts";
import {
  startDay, startDesk, startLibrary, startLink, startPicture, startPlan, startSetup, startText, startWays,
  type DayPart, type DeskPart, type LibraryPart, type LinkPart, type PicturePart, type PlanPart, type SetupPart,
  type TextPart,
  type WaysPart,
} from "./parts.ts";

export type { Compare, Drag, Film, Pane, Part, Shot, Tryout } from "./parts.ts";

/** Everything the page knows. Of the shoot nothing but what the server said; the rest is this page's own. */
export interface Page extends LibraryPart, LinkPart, SetupPart, PicturePart, PlanPart, DeskPart, DayPart, TextPart,
  WaysPart, EditPart, ScoutPart, GearPart {}

/** A page that knows nothing yet. */
export const startPage = (): Page => ({
  ...startLink(), ...startSetup(), ...startPicture(), ...startPlan(), ...startDesk(), ...startText(), ...startWays(),
    ...startDay(), ...startLibrary(), ...startEdit(), ...startScout(), ...startGear(),
});

/** A hand holds something of the place: what it does comes many times a second. */
export const inHand = (p: Page): boolean => p.drag?.at !== undefined;

/** What is tried out now: settings on their way, and the hour. */
export const trialOf = (p: Page): Trial =>
  p.view?.hours ? { ...p.trial, daylight: daylightStops(p.view.hours, p.hour) } : p.trial;

/** The height of the contours, metres. */
export const contourHeight = (p: Page): number =>
  p.contourZ ?? Math.round((p.view?.sitter?.landmarks.face?.[2] ?? 1.5) * 100) / 100;

/** Where the section's contours are cut: the y of the sitter's face, or the middle of the room, metres. */
export const sectionY = (p: Page): number => {
  const ys = p.view?.room.outline.map((c) => c[1]) ?? [],
    middle = ys.length ? (Math.min(...ys) + Math.max(...ys)) / 2 : 0;
  return Math.round((p.view?.sitter?.landmarks.face?.[1] ?? middle) * 100) / 100;
};

/** The file's text is on screen. */
export const textShown = (p: Page): boolean => p.pane === "text" || (p.pane === "edit" && p.beside === "text");

/** Why no step can be taken back or done again while the question of two typings is open; empty: it is not. */
export const whichStands = (p: Page): string =>
  (p.clash ? "First say which lines stand: yours or theirs. Until then nothing is undone or redone." : "");

/** Errors of the text or of the setup: what is shown is of the plan before them. */
export const mistakes = (p: Page): NonNullable<Page["state"]>["messages"] => {
  const ofText = (p.state?.messages ?? []).filter((x) => x.severity === "error");
  if (ofText.length || !p.view || p.view.built) return ofText;
  return p.view.messages.filter((x) => x.severity === "error");
};

type Listener = (page: Page, changed: ReadonlySet<keyof Page>) => void;

export class Store {
  page: Page = startPage();
  private readonly listeners: Listener[] = [];
  private changed = new Set<keyof Page>();
  private due = false;

  constructor(private readonly frame: (f: () => void) => void) {}

  on(l: Listener): void { this.listeners.push(l); }

  /** calm: it shows with the next change that is not. An empty patch has everything looked at again. */
  set(patch: Partial<Page>, calm = false): void {
    Object.assign(this.page, patch);
    const names = Object.keys(patch) as (keyof Page)[];
    for (const k of names.length ? names : (Object.keys(this.page) as (keyof Page)[])) this.changed.add(k);
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
