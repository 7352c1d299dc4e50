// Starts the page.
import { Desk } from "./actions/desk.ts";
import { Forms } from "./actions/forms.ts";
import { press } from "./actions/keys.ts";
import { put } from "./draw/morph.ts";
import { FrameHands } from "./panels/framehands.ts";
import { EditHands } from "./panels/edithands.ts";
import { Hands } from "./panels/hands.ts";
import { PlanHands } from "./panels/planhands.ts";
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
const forms = new Forms(store, desk);
const show = new Show(() => store.set({}), new Pictures(store));
const onPicture = new FrameHands(desk, show.frame);
const hands = new Hands(desk, show);
const edits = new EditHands(forms);
onPart(() => store.set({}));
const onPlan = new PlanHands(desk, show);
const fields = new Fields(store);
show.fields = fields;

let theme: string | null = null;
try { theme = localStorage.getItem("theme"); } catch { /* a private window keeps nothing */ }
if (theme === "paper" || (theme === null && matchMedia("(prefers-contrast: more) and (prefers-color-scheme: light)").matches)) store.set({ theme: "paper" });

store.on((p, changed) => { show.all(p, changed); desk.refreshSpot(); });
store.on((p) => fields.on(p));
addEventListener("resize", () => store.set({}));
addEventListener("keydown", (e) => {
  if (edits.key(e) || onPicture.key(e) || onPlan.key(e) || hands.key(e) || press(desk, e)) e.preventDefault();
});
addEventListener("beforeunload", (e) => {
  if (store.page.textDirty || !desk.editor.idle) e.preventDefault();
});
const area = document.getElementById("text");
area?.addEventListener("scroll", () => { const g = document.getElementById("gutter"); if (g) g.scrollTop = area.scrollTop; });
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
