// A press means what lay under it when it began: the page may be drawn
// anew, and things may move, before the finger comes up.

/** How far a finger may wander before it is a drag and no press, px. */
const wander = 8;

interface Held { e: HTMLElement; x: number; y: number }

/**
 * Completes presses that the browser drops or gives to something else
 * because what was pressed moved or was replaced meanwhile.
 */
export function keepPresses(): void {
  let held: Held | null = null, soon = 0;
  const finish = (h: Held): void => {
    clearTimeout(soon);
    if (held === h) held = null;
    const key = h.e.getAttribute("data-key"),
      e = h.e.isConnected ? h.e : key ? document.querySelector<HTMLElement>(`[data-key="${CSS.escape(key)}"]`) : null;
    e?.click();
  };
  addEventListener("pointerdown", (e) => {
    const t = e.isPrimary && e.button === 0 && e.target instanceof Element
      ? e.target.closest<HTMLElement>("button") : null;
    held = t ? { e: t, x: e.clientX, y: e.clientY } : null;
  }, { capture: true });
  addEventListener("pointerup", (e) => {
    if (held && Math.hypot(e.clientX - held.x, e.clientY - held.y) > wander) held = null;
    // The click belongs to the same task; where none came by then, none comes.
    const h = held;
    clearTimeout(soon);
    if (h) soon = window.setTimeout(() => { if (held === h) finish(h); }, 0);
  }, { capture: true });
  addEventListener("pointercancel", () => { held = null; }, { capture: true });
  addEventListener("click", (e) => {
    const h = held;
    if (!h || !e.isTrusted) return;
    if (e.target instanceof Element && h.e.contains(e.target)) { held = null; return; }
    e.stopImmediatePropagation();
    e.preventDefault();
    finish(h);
  }, { capture: true });
}
