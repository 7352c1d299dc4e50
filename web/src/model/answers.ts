// Answers that are not in the published shapes' file, and what else the page names often.
import type { Edit } from "./wire.ts";
export type { Change, Edit, Problem, State } from "./wire.ts";

/** What balance found. */
export interface BalanceView {
  revision: number;
  lights: { name: string; path: string; off: boolean; setting: string; stops: number; changed: boolean }[];
  targets: { name: string; predicted: number | null; miss_stops: number | null; met: boolean; reason: string }[];
  edits: Edit[] | null;
}
