// What a pointer shows by resting on a figure or a name, a finger shows by staying on it.

/** Says the long form of what a finger stays on for half a second; lifted then, it presses nothing. */
export function longForm(say: (text: string) => void): void {
  let timer = 0, x = 0, y = 0, shown = false, lifted = 0;
  const stop = (): void => { clearTimeout(timer); timer = 0; };
  addEventListener("pointerdown", (e) => {
    stop();
    shown = false;
    const text = e.pointerType !== "mouse" && e.target instanceof Element
      ? e.target.closest("[title]")?.getAttribute("title") : "";
    if (!text) return;
    [x, y] = [e.clientX, e.clientY];
    timer = window.setTimeout(() => { timer = 0; shown = true; say(text); }, 500);
  });
  addEventListener("pointermove", (e) => { if (Math.hypot(e.clientX - x, e.clientY - y) > 8) stop(); });
  for (const done of ["pointerup", "pointercancel"]) addEventListener(done, () => { stop(); lifted = Date.now(); });
  addEventListener("contextmenu", (e) => { if (timer || shown) e.preventDefault(); });
  addEventListener("click", (e) => {
    // More than one may come of one lift: the browser's own, late, and what completes presses.
    if (!shown || Date.now() - lifted > 600) return;
    e.preventDefault();
    e.stopPropagation();
  }, { capture: true });
}
