// What the page knows of the kit: own and generic things, the one chosen, files that were read, what readings taught.
import type { GearView, ImportView, LearnView, OwnKitView } from "../model/wire.ts";

export interface Pick { list: string; name: string }

/** Figures of a maker's sheet as they are typed, before they are used; absent: as the file has it. */
export interface SheetDraft { guide?: string; iso?: string; lux?: string; at?: string; with?: string }

export interface GearPart {
  gear: OwnKitView | null;
  gearTab: "things" | "files" | "learned";
  gearQuery: string;
  gearPick: Pick | null;
  gearThing: GearView | null;
  gearSheet: SheetDraft;
  gearBusy: "" | "find" | "change" | "import" | "learn";
  /** Why the last change could not be made, and at which setting. */
  gearFailed: { at: string; text: string } | null;
  /** Files that were read and wait to be taken. */
  imports: readonly ImportView[];
  /** Files that were refused, each with why. */
  importBad: readonly { file: string; text: string }[];
  lessons: LearnView | null;
  lessonsFailed: string;
  /** Share of the metering behind learning that is done. */
  lessonsDone: number;
  /** Grows when the log of the day has news. */
  logNews: number;
  /** The name that is typed for a thing like the chosen one. */
  likeName: string;
  readText: string;
  readPoint: string;
  readAlone: string;
}

export const startGear = (): GearPart => ({
  gear: null, gearTab: "things", gearQuery: "", gearPick: null, gearThing: null, gearSheet: {}, gearBusy: "",
  gearFailed: null, imports: [], importBad: [], lessons: null, lessonsFailed: "", lessonsDone: 0, logNews: 0,
  likeName: "", readText: "", readPoint: "", readAlone: "",
});
