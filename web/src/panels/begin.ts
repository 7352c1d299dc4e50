// A folder without a shoot: four answers make one, each filled in, drawn
// as it is typed; the demonstration is one press away.
import type { Desk } from "../actions/desk.ts";
import * as picture from "../actions/picture.ts";
import { beginDrawing } from "../draw/begin.ts";
import { attribute, put } from "../draw/morph.ts";
import type { State } from "../model/answers.ts";
import type { Answers, BeginView } from "../model/wire.ts";
import type { Page, Store } from "../state/store.ts";
import { ask } from "../state/wire.ts";
import { m, type Markup } from "../units/markup.ts";
import { drawn, readLength, type Units } from "../units/measures.ts";
import { plain } from "../units/stops.ts";

type Key = keyof Answers;

interface Step { title: string; says: string; fields: readonly (readonly [Key, string, string])[] }

/** Answers with their fields: key, label, unit; 'm' is a length, a bar a choice. */
const steps: readonly Step[] = [
  { title: "Room", says: "every field also takes “23 ft 7 in”",
    fields: [["length", "length", "m"], ["width", "width", "m"], ["height", "height", "m"]] },
  { title: "Camera", says: "aims at the sitter", fields: [["camX", "from left wall", "m"],
    ["camY", "from lower wall", "m"], ["camZ", "height", "m"], ["lens", "lens", "mm"],
    ["upright", "frame", "upright|landscape"]] },
  { title: "Sitter", says: "faces the camera", fields: [["far", "from the camera", "m"],
    ["seated", "pose", "seated|standing"], ["stature", "stature", "m"]] },
  { title: "One light, the key", says: "more lights later, on the desk",
    fields: [["left", "from camera’s", "left|right"], ["round", "round", "°"], ["keyFar", "from the face", "m"],
      ["keyHeight", "height", "m"], ["head", "head", "heads"], ["modifier", "on it", "modifiers"]] },
];

export class Begin {
  /** As the program last told it; the answers go before it while it computes. */
  private view: BeginView | null = null;
  private answers: Answers | null = null;
  private asking: Promise<void> | null = null;
  private usual: Answers | null = null;
  private own = new Set<Key>(); // answers that a hand has given
  private bad = new Map<Key, string>();
  private at = 0;
  private busy = false;
  private shown = false;

  constructor(private readonly store: Store, private readonly desk: Desk) {
    const root = document.getElementById("begin");
    root?.addEventListener("input", (e) => this.input(e));
    root?.addEventListener("change", () => this.draw(store.page));
    root?.addEventListener("focusin", (e) => {
      const s = (e.target as Element).closest("[data-step]");
      if (s) { this.at = Number(s.getAttribute("data-step")); this.draw(store.page); }
    });
    root?.addEventListener("click", (e) => this.click(e));
  }

  get open(): boolean { return Boolean(this.store.page.state?.begin); }

  show(p: Page): void {
    const open = Boolean(p.state?.begin), page = document.getElementById("page");
    if (page) attribute(page, "data-begin", open ? "1" : "");
    if (!open) { if (this.shown) put(document.getElementById("bgform") as Element, m``); this.shown = false; return; }
    if (!this.shown) {
      this.shown = true;
      void this.ask().then(() => this.desk.open("bg-length"));
    }
    this.draw(p);
  }

  /** Asks the program for the plan of the answers; at the end it is of the newest. */
  private async ask(): Promise<void> {
    while (this.asking) await this.asking;
    const of = this.answers;
    if (of && this.view && of === this.view.answers) return;
    this.asking = (async () => {
      try {
        const folder = this.folder(), title = folder.replace(/[-_]+/g, " ").trim();
        const v = await ask<BeginView>("/api/begin", { answers: of,
          title: title.charAt(0).toUpperCase() + title.slice(1) || "New shoot" }, "POST");
        this.view = { ...v, answers: of ?? v.answers };
        this.answers ??= v.answers;
        this.usual ??= v.answers;
      } catch (e) { this.desk.say(e); }
    })();
    await this.asking;
    this.asking = null;
    this.draw(this.store.page);
  }

  private folder(): string {
    return this.store.page.state?.begin?.replace(/[\\/]+$/, "").replace(/.*[\\/]/, "") ?? "";
  }

  private set(key: Key, v: string | number | boolean): void {
    if (!this.answers) return;
    this.own.add(key);
    this.answers = { ...this.answers, [key]: v };
    // The camera that nobody has placed goes with the walls, so that it stays in the room.
    const goes: Partial<Record<Key, "camX" | "camY">> = { length: "camX", width: "camY" }, place = goes[key];
    if (place && this.usual && typeof v === "number" && !this.own.has(place)) {
      const of = this.usual[key] as number;
      this.answers[place] = Math.round(100 * this.usual[place] * v / of) / 100;
    }
    void this.ask();
  }

  private draw(p: Page): void {
    const root = document.getElementById("bgform"), s = p.state;
    if (!root || !s?.begin || !this.answers || !this.view) return;
    put(root, this.markup(p, this.answers));
    const svg = document.getElementById("bgsvg"), r = svg?.getBoundingClientRect();
    if (!svg || !r || r.width < 40) return;
    attribute(svg, "viewBox", `0 0 ${Math.round(r.width)} ${Math.round(r.height)}`);
    put(svg, beginDrawing(this.view, r.width, r.height, p.units.lengths === "feet"));
  }

  private field(p: Page, a: Answers, [key, label, unit]: readonly [Key, string, string], step: number): Markup {
    const v = a[key], bad = this.bad.get(key), id = `bg-${key}`;
    if (unit.includes("|")) {
      const [yes = "", no = ""] = unit.split("|"),
        one = (on: boolean, words: string) => m`<button type="button" data-pickone="${key}" data-on="${on ? "1" : ""}"
          data-key="${id}-${words}" class="${v === on ? "on" : ""}" aria-pressed="${v === on ? "true" : "false"}">
          ${words}</button>`;
      return m`<div class="bgf" role="group" aria-label="${label}"><span>${label}</span><i class="pk">
        ${one(true, yes)}${one(false, no)}</i></div>`;
    }
    const list = unit === "heads" ? p.kit?.heads.map((h) => h.name) ?? [] : unit === "modifiers"
      ? p.kit?.modifiers.map((x) => x.name) ?? [] : [];
    const text = unit === "m" ? drawn(Number(v), p.units) : typeof v === "number" ? plain(v, 1) : String(v),
      wide = unit === "heads" || unit === "modifiers", say = unit === "m" ? (p.units.lengths === "feet" ? "" : "m")
        : wide ? "" : unit;
    return m`<label class="bgf${wide ? " wide" : ""}"><span>${label}</span><i><input data-key="${id}"
      data-begin="${key}" data-pick="" data-own="${p.units.lengths}" value="${text}"${wide ? m` list="bg-${unit}"`
        : ""} autocomplete="off" spellcheck="false" aria-label="${label}, ${steps[step]?.title ?? ""}"${bad
        ? m` aria-invalid="true"` : ""}>${say ? m`<em>${say}</em>` : ""}</i>${list.length
      ? m`<datalist id="bg-${unit}">${list.map((n) => m`<option value="${n}"></option>`)}</datalist>` : ""}</label>`;
  }

  private markup(p: Page, a: Answers): Markup {
    const folder = this.folder(), fault = this.fault(),
      units = (["metres", "feet"] as const).map((u) =>
      m`<button type="button" data-units="${u}" data-key="bg-${u}" class="${p.units.lengths === u ? "on" : ""}"
        aria-pressed="${p.units.lengths === u ? "true" : "false"}">${u === "metres" ? "m" : "ft"}</button>`);
    return m`<form class="bgform" novalidate><header><h2>This folder holds no shoot yet.</h2>
      <p>Four answers make one in <b>${folder}</b>. Each is filled in already: Enter takes it, or type over
      it.</p></header>
${steps.map((s, i) => m`<section class="bgst${this.at === i ? " cur" : ""}" data-step="${i}" data-key="bgst${i}"
  aria-label="${s.title}"><div class="no" aria-hidden="true">${i + 1}</div><div><h3>${s.title}
  <small>${s.says}</small></h3><div class="fs">${s.fields.map((f) => this.field(p, a, f, i))}${i === 0
      ? m`<div class="bgf" role="group" aria-label="units"><span>in</span><i class="pk">${units}</i></div>` : ""}
        </div>${fault?.step === i ? m`<p class="bgbad" role="alert">${fault.text}</p>` : ""}</div></section>`)}
<div class="bggo"><button type="button" data-make="" data-key="bg-make"${fault || this.busy ? m` disabled` : ""}>Make
  the shoot</button><p>Ctrl+Enter from any field. Writes shoot.yaml in this folder and nothing else.</p></div>
<div class="bgdemo"><button type="button" data-demo="" data-key="bg-demo">Open the demonstration</button>
  <p>Ctrl+D. Launderette at dusk, three setups, ready lit. Nothing in this folder is touched.</p></div></form>`;
  }

  private fault(): { step: number; text: string } | null {
    const [key, text] = [...this.bad][0] ?? [];
    if (key) return { step: steps.findIndex((s) => s.fields.some((f) => f[0] === key)),
        text: `“${text}” is no ${steps.flatMap((s) => s.fields).find((f) => f[0] === key)?.[2] === "m"
          ? "length; write 2.4, 2,4, 240 cm or 7 ft 10 in" : "number"}.` };
    return this.view?.fault ?? null;
  }

  private input(e: Event): void {
    const t = e.target, key = t instanceof HTMLInputElement ? (t.dataset.begin as Key | undefined) : undefined;
    if (!key || !(t instanceof HTMLInputElement)) return;
    const unit = steps.flatMap((s) => s.fields).find((f) => f[0] === key)?.[2] ?? "", u: Units = this.store.page.units;
    const v = unit === "m" ? readLength(t.value, u) : unit === "heads" || unit === "modifiers" ? t.value
      : Number(t.value.replace(",", ".").replace(/[^\d.-]+$/, "") || Number.NaN);
    if (v === null || (typeof v === "number" && !Number.isFinite(v))) this.bad.set(key, t.value);
    else { this.bad.delete(key); this.set(key, v); }
    this.draw(this.store.page);
  }

  private click(e: MouseEvent): void {
    const t = (e.target as Element).closest("button");
    if (!t) return;
    const one = t.getAttribute("data-pickone") as Key | null, units = t.getAttribute("data-units");
    if (one) {
      this.set(one, t.getAttribute("data-on") === "1");
      this.draw(this.store.page);
    }
    if (units) this.desk.forms.units({ lengths: units as "feet" });
    if (t.hasAttribute("data-make")) void this.make();
    if (t.hasAttribute("data-demo")) void this.demonstration();
  }

  key(e: KeyboardEvent): boolean {
    if (!this.open) return false;
    const ctrl = e.ctrlKey || e.metaKey, t = e.target;
    if (ctrl && e.key === "Enter") { void this.make(); return true; }
    if (ctrl && e.key.toLowerCase() === "d") { void this.demonstration(); return true; }
    if (e.key === "Enter" && t instanceof HTMLInputElement) {
      const next = document.querySelector<HTMLInputElement>(`#begin [data-step="${this.at + 1}"] input`) ??
        document.querySelector<HTMLElement>("#begin [data-make]");
      next?.focus();
      return true;
    }
    // Nothing of the desk acts here.
    return !ctrl && !(t instanceof HTMLInputElement) && e.key.length === 1 && e.key !== " ";
  }

  private async make(): Promise<void> {
    if (this.busy) return;
    await this.ask();
    if (this.view?.answers !== this.answers) return; // no plan came of what was typed; it is said why
    const s = this.store.page.state, fault = this.fault();
    if (fault) {
      document.querySelector<HTMLInputElement>(`#begin [data-step="${fault.step}"] input`)?.focus();
      return;
    }
    if (!s?.begin || !this.view || this.busy) return;
    this.busy = true;
    const folder = s.begin;
    try {
      const made = await ask<State>("/api/text", { revision: s.revision, name: "begin", text: this.view.text },
        "PUT");
      this.store.set({ pane: "desk" });
      this.desk.live.take(made);
      if (made.draft) this.store.set({ toast: made.messages[0]?.text ?? "The answers cannot be read as a shoot." });
      else this.desk.live.take(await ask<State>("/api/save", { revision: made.revision, path: folder }));
      void this.lit();
    } catch (e) { this.desk.say(e); }
    this.busy = false;
  }

  /** Sets the key for the aperture once there are readings. */
  private async lit(): Promise<void> {
    for (let k = 0; k < 200 && (this.store.page.readings === null || this.store.page.view?.built !== true); k++)
      await new Promise((r) => setTimeout(r, 50));
    for (let k = 0; k < 80 && this.store.page.readings?.word !== "fine"; k++)
      await new Promise((r) => setTimeout(r, 100));
    if (this.store.page.readings) await picture.reach(this.desk);
  }

  private async demonstration(): Promise<void> {
    const s = this.store.page.state;
    if (!s || this.busy) return;
    this.busy = true;
    try {
      const demo = await ask<{ text: string }>("/api/demonstration");
      this.store.set({ pane: "desk" });
      this.desk.live.take(await ask<State>("/api/text", { revision: s.revision, name: "open the demonstration",
        text: demo.text }, "PUT"));
    } catch (e) { this.desk.say(e); }
    this.busy = false;
  }
}
