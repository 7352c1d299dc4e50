// The keyboard as one table: what the '?' overview lists is what the keys do.
import type { Desk } from "./desk.ts";
import * as picture from "./picture.ts";
import * as tryout from "./tryout.ts";
import * as place from "./place.ts";
import * as ways from "./ways.ts";

export interface Key {
  keys: string;
  words: string;
  test: (e: KeyboardEvent) => boolean;
  run: (d: Desk, e: KeyboardEvent) => void;
}

const plain = (e: KeyboardEvent): boolean => !e.ctrlKey && !e.metaKey && !e.altKey;
const letter = (k: string) => (e: KeyboardEvent): boolean => plain(e) && !e.shiftKey && e.key.toLowerCase() === k;
const page = (d: Desk) => d.store.page;
const showWay = (): void => { requestAnimationFrame(() => requestAnimationFrame(() => document.querySelector(".way.at")?.scrollIntoView({ block: "nearest" }))); };
const focusOn = (id: string): void => { requestAnimationFrame(() => requestAnimationFrame(() => document.getElementById(id)?.focus())); };

// The keyboard is on the list of ways out, and on nothing in it that has an Enter of its own.
const onWays = (e: KeyboardEvent): boolean => plain(e) && (e.target as Element | null)?.closest?.("#ways") != null;

export const keys: readonly Key[] = [
  { keys: "↑ ↓ Enter", words: "in the list of ways out: highlight one, take it", test: (e) => onWays(e) && (e.key === "ArrowUp" || e.key === "ArrowDown" || (e.key === "Enter" && !(e.target as Element).closest("button"))), run: (d, e) => { if (e.key === "Enter") ways.takeHighlighted(d); else ways.step(d, e.key === "ArrowDown" ? 1 : -1); showWay(); } },
  { keys: "1 – 9", words: "select a point", test: (e) => plain(e) && /^[1-9]$/.test(e.key), run: (d, e) => d.selectPoint(Number(e.key) - 1) },
  {
    keys: "↑ ↓", words: "ring of the selected point up or down 0.1 stop (Shift: 1)", test: (e) => plain(e) && (e.key === "ArrowUp" || e.key === "ArrowDown"),
    run: (d, e) => d.ring(page(d).point, d.ringAt(page(d).point) + (e.key === "ArrowUp" ? 1 : -1) * (e.shiftKey ? 1 : 0.1), `ring-keys-${page(d).point}`),
  },
  { keys: "H", words: "hold or free the ring of the selected point", test: letter("h"), run: (d) => d.hold(page(d).point) },
  { keys: "K", words: "select the key", test: letter("k"), run: (d) => d.selectRole("key") },
  { keys: "F", words: "select the fill", test: letter("f"), run: (d) => d.selectRole("fill") },
  { keys: "E", words: "select the edge, hair or accent light", test: letter("e"), run: (d) => d.selectRole("edge", "rim", "hair", "accent") },
  { keys: "G", words: "select the background light", test: letter("g"), run: (d) => d.selectRole("background") },
  {
    keys: "← →", words: "selected light one step down or up (Shift: a stop)", test: (e) => plain(e) && (e.key === "ArrowLeft" || e.key === "ArrowRight"),
    run: (d, e) => d.nudge(page(d).light, (e.key === "ArrowRight" ? 1 : -1) * (e.shiftKey ? 1 : 0.1)),
  },
  { keys: "O", words: "selected light off or on", test: letter("o"), run: (d) => d.off(page(d).light) },
  { keys: "L", words: "lock or unlock the selected light", test: letter("l"), run: (d) => d.lock(page(d).light) },
  { keys: "I", words: "isolate the selected light (solo)", test: letter("i"), run: (d) => page(d).light && d.solo(page(d).light) },
  { keys: "P", words: "picture", test: letter("p"), run: (d) => d.frame("picture") },
  { keys: "S", words: "stops", test: letter("s"), run: (d) => d.frame("stops") },
  {
    keys: "Alt + 1 – 9", words: "each light alone", test: (e) => e.altKey && /^Digit[1-9]$/.test(e.code),
    run: (d, e) => { const l = page(d).view?.lights.filter((x) => x.layer >= 0)[Number(e.code.slice(5)) - 1]; if (l) d.frame("light", l.path); },
  },
  { keys: "Space", words: "before the last change while held; a tap keeps it until the next (with another picture beside: that one alone)", test: () => false, run: () => undefined },
  { keys: "J", words: "before the last change beside the picture, with a wipe (← → move it)", test: letter("j"), run: (d) => { picture.beside(d); focusOn("wipe"); } },
  { keys: "Q", words: "the keyboard onto the picture: arrow keys move the spot, Enter reads it", test: letter("q"), run: () => focusOn("frame") },
  { keys: "X", words: "crop", test: letter("x"), run: (d) => d.store.set({ tool: page(d).tool === "crop" ? "" : "crop" }) },
  { keys: "V", words: "where a cover's type stands", test: letter("v"), run: (d) => d.store.set({ tool: page(d).tool === "cover" ? "" : "cover" }) },
  { keys: "B", words: "booth: everything but the picture mid-grey, to judge by", test: letter("b"), run: (d) => d.store.set({ neutral: !page(d).neutral }) },
  { keys: "0", words: "points on the picture, or none", test: (e) => plain(e) && e.key === "0", run: (d) => d.store.set({ balloons: !page(d).balloons }) },
  { keys: "Z", words: "ladder: only the stops in use, so that near rungs stand apart", test: letter("z"), run: (d) => d.store.set({ spread: !page(d).spread }) },
  { keys: "R", words: "balance: reach for the look, lights move", test: letter("r"), run: (d) => void picture.reach(d) },
  { keys: "Enter", words: "take the part that is tried", test: (e) => plain(e) && e.key === "Enter" && !(e.target as Element).closest("button,input,select,[role=button]"), run: (d) => tryout.take(d) },
  { keys: "D", words: "booth or paper", test: letter("d"), run: (d) => d.theme(page(d).theme === "booth" ? "paper" : "booth") },
  { keys: "[ ]", words: "aperture: close or open by a third", test: (e) => plain(e) && (e.key === "[" || e.key === "]"), run: (d, e) => d.dial("aperture", e.key === "]" ? 1 : -1) },
  { keys: "; '", words: "shutter: shorter or longer by a third", test: (e) => plain(e) && (e.key === ";" || e.key === "'"), run: (d, e) => d.dial("shutter", e.key === "'" ? 1 : -1) },
  { keys: "Shift + [ ]", words: "sensitivity: less or more by a third", test: (e) => plain(e) && (e.key === "{" || e.key === "}"), run: (d, e) => d.dial("iso", e.key === "}" ? 1 : -1) },
  { keys: "Shift + ; '", words: "white balance: cooler or warmer picture by 8 mired", test: (e) => plain(e) && (e.key === ":" || e.key === '"'), run: (d, e) => d.whiteBalance(e.key === '"' ? 1 : -1) },
  { keys: "Shift + , .", words: "focal length: shorter or longer", test: (e) => plain(e) && (e.key === "<" || e.key === ">"), run: (d, e) => picture.lens(d, e.key === ">" ? 1 : -1) },
  { keys: "U", words: "setups: small pictures, duplicate, rename, order, delete, lay beside", test: letter("u"), run: (d) => d.pane(page(d).pane === "setups" ? "desk" : "setups") },
  { keys: "Y", words: "edit everything of the shoot", test: letter("y"), run: (d) => d.pane(page(d).pane === "edit" ? "desk" : "edit") },
  { keys: "T", words: "the shoot file as text, beside", test: letter("t"), run: (d) => d.pane(page(d).pane === "text" ? "desk" : "text") },
  { keys: "W", words: "ways out of what is missed, those of the selected point first", test: letter("w"), run: (d) => { d.pane(page(d).pane === "ways" ? "desk" : "ways"); if (page(d).pane === "ways") focusOn("ways"); } },
  { keys: "C", words: "checks", test: letter("c"), run: (d) => d.pane(page(d).pane === "checks" ? "desk" : "checks") },
  { keys: "N", words: "next setup (Shift: the one before)", test: (e) => plain(e) && e.key.toLowerCase() === "n", run: (d, e) => d.showSetup(page(d).setup + (e.shiftKey ? -1 : 1)) },
  { keys: "A", words: "contours on the plan: f-numbers, each light, off", test: letter("a"), run: (d) => place.cycleContours(d) },
  { keys: "M", words: "snapping in the plan off or on (Alt turns it off while you drag)", test: letter("m"), run: (d) => d.store.set({ snap: !page(d).snap }) },
  { keys: "+ \u2212 Home", words: "plan nearer, farther, all of it", test: (e) => plain(e) && ["+", "=", "-", "Home"].includes(e.key), run: (d, e) => (e.key === "Home" ? place.fit(d) : d.zoomPlan(e.key === "-" ? 0.8 : 1.25)) },
  { keys: ", .", words: "hour back or on by five minutes", test: (e) => plain(e) && !e.shiftKey && (e.key === "," || e.key === "."), run: (d, e) => place.stepHour(d, e.key === "," ? -5 : 5) },
  { keys: "Ctrl + Z", words: "undo (a drag is one step)", test: (e) => (e.ctrlKey || e.metaKey) && !e.shiftKey && e.key.toLowerCase() === "z", run: (d) => void d.step("undo") },
  { keys: "Ctrl + Shift + Z", words: "redo", test: (e) => (e.ctrlKey || e.metaKey) && e.shiftKey && e.key.toLowerCase() === "z", run: (d) => void d.step("redo") },
  { keys: "?", words: "this list", test: (e) => !e.ctrlKey && !e.metaKey && e.key === "?", run: (d) => d.store.set({ help: !page(d).help }) },
  { keys: "Esc", words: "close, let go", test: (e) => e.key === "Escape", run: (d) => d.store.set({ help: false, neutral: false, compare: null, tryout: null, tool: "", naming: -1, deleting: -1, cursor: null, spot: null, toast: "", thing: page(d).tryout ? page(d).thing : null, assumes: false, light: page(d).tryout ? page(d).light : "", drag: null, ...(page(d).frame === "light" ? { frame: "picture" as const } : {}) }) },
];

/** Runs what a key press asks for. Single keys rest while a field has the focus. */
export function press(d: Desk, e: KeyboardEvent): boolean {
  const t = e.target as HTMLElement | null;
  const field = t instanceof HTMLTextAreaElement || t instanceof HTMLSelectElement || (t instanceof HTMLInputElement && t.type !== "range");
  if (field && e.key !== "Escape") return false;
  if (t instanceof HTMLInputElement && e.key.startsWith("Arrow")) return false;
  for (const k of keys) {
    if (!k.test(e)) continue;
    k.run(d, e);
    return true;
  }
  return false;
}
