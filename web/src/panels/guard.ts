// No shortcut acts on what is meant for a field: not while one has the
// focus, and not when it was taken away under the hand.
import { isField } from "../actions/action.ts";

/** How long strokes are taken for typing after the last one into a field that is gone, ms. */
const still = 3000;

/** Knows the field that the person is in, until they leave it themselves. */
export class Guard {
  private field: Element | null = null;
  private at = 0;

  constructor() {
    addEventListener("focusin", (e) => { this.enter(e.target); }, { capture: true });
    addEventListener("pointerdown", () => { this.field = null; }, { capture: true });
    addEventListener("keydown", (e) => {
      if (e.key === "Enter" || e.key === "Escape" || e.key === "Tab") this.field = null;
      else if (isField(e.target)) this.enter(e.target);
    }, { capture: true });
  }

  private enter(t: EventTarget | null): void {
    this.field = isField(t) ? (t as Element) : null;
    this.at = Date.now();
  }

  /** Whether a stroke is typing into a field that a redraw took away: nothing is to come of it. */
  takes(e: KeyboardEvent): boolean {
    const f = this.field;
    if (!f || e.ctrlKey || e.metaKey || e.altKey || isField(e.target)) return false;
    // It stands, and the focus went elsewhere by itself, or it is gone: the person has not left it.
    if ((f.isConnected && document.activeElement !== document.body) || Date.now() - this.at > still) {
      this.field = null;
      return false;
    }
    this.at = Date.now();
    if (f.isConnected && f instanceof HTMLElement) f.focus({ preventScroll: true });
    return !f.isConnected;
  }
}
