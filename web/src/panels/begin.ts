// A folder without a shoot: four answers make one.
import type { Desk } from "../actions/desk.ts";
import type { Page, Store } from "../state/store.ts";

export class Begin {
  constructor(private readonly store: Store, private readonly desk: Desk) {}
  show(_p: Page): void { void this.store; void this.desk; }
  key(_e: KeyboardEvent): boolean { return false; }
}
