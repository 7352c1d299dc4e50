// What the page holds for editing everything of the shoot: the form, the text as a tree, what is open.
import type { ChartView, ColourView, FormView, PlaceView, TreeView } from "../model/wire.ts";
import type { Units } from "../units/measures.ts";

/** A colour being picked. */
export interface Picking {
  path: string;
  /** Head whose light it is; empty: any colour. */
  head: string;
  what: string;
  chart: ChartView | null;
  asked: ColourView | null;
}

/** A thing of the place being moved in the plan of the edit screen, metres. */
export interface Shift {
  what: string;
  path: string;
  dx: number;
  dy: number;
  outline: [number, number][] | null;
  note: string;
}

export interface EditPart {
  form: FormView | null;
  tree: TreeView | null;
  /** The text cannot be read as it stands: the tree is the one before. */
  treeLost: boolean;
  /** Path of what is shown in the form. */
  node: string;
  /** Groups that are open though the file has nothing of them. */
  open: Set<string>;
  beside: "plan" | "text";
  /** Where there is room for one only: the form, or what stands beside it. */
  edit: "form" | "beside";
  units: Units;
  /** The units are this device's own choice; else lengths follow the house's convention. */
  chosen: boolean;
  picking: Picking | null;
  shift: Shift | null;
  /** What is being put into the plan of the place: walls that are drawn, or a thing that is placed; empty: nothing. */
  placing: string;
  /** Corners of the walls that are being drawn, metres. */
  sketch: [number, number][] | null;
  /** Where the hand is in the plan of the place, metres; null: not there. */
  ghost: [number, number] | null;
  /** What a place can be furnished and painted with. */
  place: PlaceView | null;
  /** The part of the room whose surface is chosen. */
  painting: string;
}

export const startEdit = (): EditPart => ({
  form: null, tree: null, treeLost: false, node: "room", open: new Set(), beside: "plan", edit: "form",
  units: { lengths: "metres", clock: 24 }, chosen: false, picking: null, shift: null, placing: "", sketch: null,
    ghost: null, place: null, painting: "walls",
});
