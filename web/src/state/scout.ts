// What the Scout screen knows: photographs and what was pressed in them, the walk round the room.
import type { ScanView, ScoutLights, ScoutStation, ScoutView, Reading } from "../model/wire.ts";
import { startWalk, type Side } from "../model/walk.ts";

/** A place that was pressed in a photograph, per cent from the top left. */
export interface Pressed { x: number; y: number }

/** What was pressed in one photograph, and what is known of it. */
export interface Marks {
  /** What is to be measured; target: what of the shoot it is, empty: not said. */
  spots: readonly (Pressed & { target: string; taken: boolean })[];
  card: Pressed | null;
  /** Reflectance of the card, as typed: per cent. */
  known: string;
  /** The light that is white in it, as typed: kelvin; empty: not known. */
  white: string;
  corners: readonly (Pressed & { place: string })[];
}

export const noMarks: Marks = { spots: [], card: null, known: "18", white: "", corners: [] };

export type ScoutPane = "photos" | "scan" | "walk" | "assumed";
export type ScoutTool = "spot" | "card" | "corner";

/** The scouting of the place. */
export interface ScoutPart {
  scout: ScoutView | null;
  scPart: ScoutPane;
  /** Number of the photograph that is shown; 0: none. */
  scPhoto: number;
  scMarks: ReadonlyMap<number, Marks>;
  scTool: ScoutTool;
  /** Where the keys press, per cent. */
  scCursor: Pressed | null;
  /** The corner of the photograph that is to be named; -1: none. */
  scCorner: number;
  scBusy: "" | "photo" | "read" | "lights" | "stand" | "put" | "scan" | "find";
  /** How much of a file that is being brought is sent, 0 to 1. */
  scSent: number;
  /** Why the last of it could not be done. */
  scFailed: string;
  scRead: Reading | null;
  scLights: ScoutLights | null;
  scStation: ScoutStation | null;
  /** Why there is no station. */
  scStationWhy: string;
  /** How much of the photograph lies over the frame, per cent. */
  scUnder: number;
  /** The scan that is held; null: none. */
  scScan: ScanView | null;
  /** Why its last file was refused; empty: it was not. */
  scScanBad: string;
  /** A box that is drawn on its plan: low and high corner, metres. */
  scBox: readonly [number, number, number, number] | null;
  walk: readonly Side[];
  /** Height of the ceiling, as typed. */
  walkHeight: string;
}

export const startScout = (): ScoutPart => ({
  scout: null, scPart: "photos", scPhoto: 0, scMarks: new Map(), scTool: "spot", scCursor: null, scCorner: -1,
  scBusy: "", scSent: 0, scFailed: "", scRead: null, scLights: null, scStation: null, scStationWhy: "", scUnder: 50,
  scScan: null, scScanBad: "", scBox: null,
  walk: startWalk(), walkHeight: "",
});
