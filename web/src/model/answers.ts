// Answers that are not in the published shapes' file, and what else the page names often.
import type { Edit } from "./wire.ts";
export type { Change, Edit, Problem, State } from "./wire.ts";

/** What balance found. */
export interface BalanceView {
  revision: number;
  edits: Edit[] | null;
}
