// Starts the page.
import { Desk } from "./actions/desk.ts";
import { Forms } from "./actions/forms.ts";
import { put } from "./draw/morph.ts";
import { Begin } from "./panels/begin.ts";
import { Borders } from "./panels/borders.ts";
import { FrameHands } from "./panels/framehands.ts";
import { DayHands } from "./panels/dayhands.ts";
import { KitHands } from "./panels/kithands.ts";
import { EditHands } from "./panels/edithands.ts";
import { longForm } from "./panels/longform.ts";
import { Hands } from "./panels/hands.ts";
import { Guard } from "./panels/guard.ts";
import { keepPresses } from "./panels/pressed.ts";
import { lightUp } from "./panels/lit.ts";
import { LivePicture } from "./panels/livepicture.ts";
import { PlanHands } from "./panels/planhands.ts";
import { ScoutHands } from "./panels/scouthands.ts";
import { Show } from "./panels/show.ts";
import { onPart } from "./panels/ways.ts";
import { skeleton } from "./panels/skeleton.ts";
import { Fields } from "./state/fields.ts";
import { Live } from "./state/live.ts";
import { Pictures } from "./state/pictures.ts";
import { foundUnsent } from "./state/unsent.ts";
import { Store } from "./state/store.ts";

const root = document.getElementById("page");
if (!root) throw new Error("no page");
root.textContent = "";
put(root, skeleton());

const store = new Store((f) => requestAnimationFrame(f));
const live = new Live(store);
const desk = new Desk(store, live);
const forms = (desk.forms = new Forms(store, desk));
const show = new Show(() => store.set({}), new Pictures(store));
const onPicture = new FrameHands(desk, show.frame);
// Keys go to what has the focus first; whoever takes one keeps it.
const takers: ((e: KeyboardEvent) => boolean)[] = [];
addEventListener("keydown", (e) => { if (takers.some((take) => take(e))) e.preventDefault(); });
keepPresses();
const guard = new Guard();
const hands = new Hands(desk, show);
longForm((text) => store.set({ toast: text }));
const edits = new EditHands(forms);
onPart(() => store.set({}));
const onPlan = new PlanHands(desk, show);
const onDay = new DayHands(desk);
const onScout = new ScoutHands(desk);
new KitHands(desk);
const borders = new Borders();
const begin = new Begin(store, desk);
const fields = new Fields(store);
show.fields = fields;
takers.push((e) => guard.takes(e), (e) => begin.key(e), (e) => edits.key(e), (e) => onPicture.key(e),
  (e) => onPlan.key(e), (e) => onDay.key(e), (e) => onScout.key(e), (e) => hands.key(e));
lightUp();

let theme: string | null = null;
try { theme = localStorage.getItem("theme"); } catch { /* a private window keeps nothing */ }
const asks = theme === null && matchMedia("(prefers-contrast: more) and (prefers-color-scheme: light)").matches;
if (theme === "paper" || asks) store.set({ theme: "paper" });

let shape = "";
store.on((p, changed) => {
  show.all(p, changed);
  begin.show(p);
  desk.refreshSpot();
  hands.opened();
  if (root.dataset.shape !== shape) { shape = root.dataset.shape ?? ""; borders.apply(); }
});
store.on((p) => fields.on(p));
store.on(() => desk.day.follow());
store.on(() => desk.scout.follow());
store.on(() => desk.gear.follow());
const livePicture = new LivePicture(store, document.getElementById("livepic") as HTMLCanvasElement);
store.on((p) => livePicture.on(p));

// A message goes by itself: after the time that it takes to read it twice, not while a pointer rests on it.
let told = "", until = 0;
store.on((p) => { if (p.toast !== told) { told = p.toast; until = Date.now() + 4000 + 90 * told.length; } });
setInterval(() => {
  if (told && Date.now() > until && !document.querySelector(".toast:hover, .toast:focus-within"))
    store.set({ toast: "" });
  if (!document.hidden && store.page.filmFrom) show.tick(store.page);
  if (!document.hidden) desk.day.tick();
}, 500);

addEventListener("resize", () => store.set({}));
addEventListener("beforeunload", (e) => {
  if (store.page.textDirty || !desk.editor.idle) e.preventDefault();
});
const area = document.getElementById("text");
area?.addEventListener("scroll", () => {
  const g = document.getElementById("gutter");
  if (g) g.scrollTop = area.scrollTop;
});
// What an earlier page could not send is sent as soon as the program says which shoot it has.
let taken = false;
store.on((p) => {
  if (taken || !p.state) return;
  taken = true;
  const u = foundUnsent(p.state.file);
  if (!u) return;
  if (u.text) {
    store.set({ text: u.text.text, textBase: u.text.base, textDirty: true });
    if (area instanceof HTMLTextAreaElement) area.value = u.text.text;
    void desk.typing.flush();
  }
  desk.editor.resume(u.changes);
});
store.set({});
live.start();
