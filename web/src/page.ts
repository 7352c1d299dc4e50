// Starts the page.
import { Desk } from "./actions/desk.ts";
import { press } from "./actions/keys.ts";
import { put } from "./draw/morph.ts";
import { FrameHands } from "./panels/framehands.ts";
import { Hands } from "./panels/hands.ts";
import { Show } from "./panels/show.ts";
import { skeleton } from "./panels/skeleton.ts";
import { Live } from "./state/live.ts";
import { Pictures } from "./state/pictures.ts";
import { Store } from "./state/store.ts";

const root = document.getElementById("page");
if (!root) throw new Error("no page");
root.textContent = "";
put(root, skeleton());

const store = new Store((f) => requestAnimationFrame(f));
const live = new Live(store);
const desk = new Desk(store, live);
const show = new Show(() => store.set({}), new Pictures(store));
const onPicture = new FrameHands(desk, show.frame);
const hands = new Hands(desk, show);

let theme: string | null = null;
try { theme = localStorage.getItem("theme"); } catch { /* a private window keeps nothing */ }
if (theme === "paper" || (theme === null && matchMedia("(prefers-contrast: more) and (prefers-color-scheme: light)").matches)) store.set({ theme: "paper" });

store.on((p) => { show.all(p); desk.refreshSpot(); });
addEventListener("resize", () => store.set({}));
addEventListener("keydown", (e) => {
  if (onPicture.key(e) || hands.key(e) || press(desk, e)) e.preventDefault();
});
addEventListener("beforeunload", (e) => {
  if (store.page.textDirty || !desk.editor.idle) e.preventDefault();
});
const area = document.getElementById("text");
area?.addEventListener("scroll", () => { const g = document.getElementById("gutter"); if (g) g.scrollTop = area.scrollTop; });
store.set({});
live.start();
