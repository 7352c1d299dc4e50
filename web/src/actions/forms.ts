// Changes made by the forms: every one a named step of undo, in the file's own words.
import { moveCorner, moveWall, setLength } from "../model/room.ts";
import { child, entries, fieldAt, find, freeName, join, steps, titleOf, up } from "../model/tree.ts";
import type { ChartView, ColourView, Edit, FormField, FormView, State, TreeNode, TreeView } from "../model/wire.ts";
import type { Store } from "../state/store.ts";
import { ask, Refused } from "../state/wire.ts";
import { fileClock, parseClock, typedLength, type Units } from "../units/measures.ts";
import { parseMetres, plain } from "../units/stops.ts";
import type { Desk } from "./desk.ts";
import { duplicate } from "./setups.ts";

/** What the file shall say for what was typed into a field; commas in numbers become points. */
export function written(f: FormField, typed: string, u: Units): string {
  const t = typed.trim();
  if (t === "") return "";
  if (f.kind === "clock") { const c = parseClock(t); return c === null ? t : fileClock(c); }
  if (f.kind === "quantity" && f.noun === "length") return typedLength(t, u);
  if (["quantity", "number", "whole", "level", "reflectance"].includes(f.kind) && !/^[[{"#]/.test(t)) {
    const n = t.replace(/\u2212/g, "-").replace(/(\d),(\d)/g, "$1.$2");
    return f.kind === "quantity" && f.unit && /^[-+]?[\d.]+$/.test(n) && f.unit !== "%" ? `${n} ${f.unit}` : n;
  }
  if (f.kind === "colour" || f.kind === "surface" || f.kind === "target" || f.kind === "direction")
    return /^#/.test(t) ? JSON.stringify(t) : t;
  return /^[[{"']/.test(t) ? JSON.stringify(t) : t;
}

/** The edit of one field; nothing typed takes it out. */
export function fieldEdits(root: TreeNode | null, path: string, value: string): Edit[] {
  const has = find(root, path);
  if (value !== "") return has?.kind === "text" && has.text === value ? [] : [{ set: path, value }];
  return has ? [{ delete: path }] : [];
}

/** One number of several in brackets. */
export function partEdits(root: TreeNode | null, path: string, i: number, value: string,
  all: readonly string[]): Edit[] {
  const has = find(root, path)?.items ?? [];
  if (value !== "" && i < has.length) return has[i]?.text === value ? [] : [{ set: `${path}[${i}]`, value }];
  const parts = all.map((x, k) => (k === i ? value : x));
  while (parts.length && parts[parts.length - 1] === "") parts.pop();
  if (parts.length === 0) return has.length ? [{ delete: path }] : [];
  return [{ set: path, value: `[${parts.map((x) => x || "0").join(", ")}]` }];
}

/** A new entry in a list, under a name of its own. */
export function addEdits(root: TreeNode | null, path: string, value: string): Edit[] {
  const list = find(root, path), name = value.match(/^\{name: ([^,}]+)/)?.[1];
  const own = name ? value.replace(`{name: ${name}`, `{name: ${freeName(entries(list), name)}`) : value;
  if (list && list.kind !== "list" && list.kind !== "none")
    return [{ set: path, value: `[${list.text ?? ""}, ${own}]` }];
  return [{ append: path, value: own }];
}

/** The whole outline; a room that was given by its size gets an outline and a ceiling. */
export function outlineEdits(root: TreeNode | null, o: readonly (readonly [number, number])[]): Edit[] {
  const value = `[${o.map((c) => `[${plain(c[0])}, ${plain(c[1])}]`).join(", ")}]`;
  const size = find(root, "room.size");
  const edits: Edit[] = [{ set: "room.outline", value }];
  if (size) edits.push({ delete: "room.size" }, ...(find(root, "room.ceiling") ? []
      : [{ set: "room.ceiling", value: size.items?.[2]?.text ?? "2.5 m" }]));
  return edits;
}

/** Moves what stands at written places by dx, dy: two or three numbers in brackets, or a list of such. */
export function shiftEdits(root: TreeNode | null, path: string, dx: number, dy: number): Edit[] {
  const n = find(root, path);
  const num = (t: TreeNode | undefined): number => Number.parseFloat(t?.text ?? "") *
    (/cm\s*$/.test(t?.text ?? "") ? 0.01 : /mm\s*$/.test(t?.text ?? "") ? 0.001 : 1);
  const place = (c: TreeNode): string =>
    `[${(c.items ?? []).map((x, i) => (i === 0 ? plain(num(x) + dx) : i === 1 ? plain(num(x) + dy) : x.text ?? "0"))
      .join(", ")}]`;
  if (!n?.items?.length) return [];
  return [{ set: path, value: n.items[0]?.kind === "list" ? `[${n.items.map(place).join(", ")}]` : place(n) }];
}

/** Where a thing of the place has its place: path of the numbers. */
export function placePath(root: TreeNode | null, path: string): string {
  const n = find(root, path);
  for (const k of ["path", "polygon", "outline", "at"]) if (child(n, k)?.kind === "list") return join(path, k);
  for (const k of ["box", "quad", "disc", "sphere", "cylinder"]) if (child(child(n, k), "at"))
    return join(join(path, k), "at");
  return n?.kind === "list" ? path : "";
}

export class Forms {
  private fetching = false;
  private picks = 0;

  constructor(readonly store: Store, readonly desk: Desk) {
    let kept: Partial<Units> = {};
    try {
      kept = JSON.parse(localStorage.getItem("units") ?? "{}") as Partial<Units>;
    } catch { /* a private window keeps nothing */ }
    store.set({ units: { lengths: kept.lengths === "feet" ? "feet" : "metres", clock: kept.clock === 12 ? 12 : 24 },
      chosen: kept.lengths !== undefined });
    store.on((p) => {
      if ((p.pane === "edit" || p.picking) && (p.tree?.revision ?? -1) !== p.state?.revision) void this.fetch();
    });
  }

  /** The form once, the tree after every change. */
  private async fetch(): Promise<void> {
    if (this.fetching) return;
    this.fetching = true;
    try {
      const form = this.store.page.form ?? (await ask<FormView>("/api/form"));
      const tree = await ask<TreeView>("/api/tree");
      // A text that cannot be read leaves the last tree to look at.
      this.store.set({ form, treeLost: tree.root === null, tree: tree.root ? tree
        : { ...tree, root: this.store.page.tree?.root ?? null } });
    } catch { /* the link says so, and a new state asks again */ }
    this.fetching = false;
  }

  get root(): TreeNode | null { return this.store.page.tree?.root ?? null; }

  units(u: Partial<Units>): void {
    const units = { ...this.store.page.units, ...u };
    try { localStorage.setItem("units", JSON.stringify(units)); } catch { /* a private window keeps nothing */ }
    const state = this.store.page.state;
    this.store.set({ units, chosen: true,
      state: state && { ...state, house: { ...state.house, lengths: units.lengths } } });
  }

  go(path: string): void {
    this.store.set({ node: path, picking: null, edit: "form" });
    // What is shown beside is of the setup that is edited.
    const setup = path.match(/^setups\[(\d+)\]/)?.[1];
    if (setup !== undefined) this.desk.showSetup(Number(setup));
    if (this.store.page.pane !== "edit") this.desk.pane("edit");
  }

  beside(b: "plan" | "text"): void {
    this.store.set({ beside: b, edit: "beside" });
    if (b === "text") void this.desk.live.fetchText();
  }

  open(path: string): void { this.store.set({ open: new Set([...this.store.page.open, path]) }); }

  private field(path: string): FormField | null {
    const p = this.store.page;
    return p.form ? fieldAt(p.form, path).field : null;
  }

  /** 'width of street window' */
  called(path: string): string {
    const s = steps(path), last = s[s.length - 1], owner = up(path);
    const of = steps(owner);
    const name = titleOf(find(this.root, owner), String(of[of.length - 1] ?? "the shoot"));
    return typeof last === "number" ? `${String(of[of.length - 1] ?? "entry")} ${last + 1}`
      : `${last ?? ""} of ${name}`;
  }

  set(path: string, typed: string): void {
    const f = this.field(path);
    if (!f) return;
    this.send(`${typed.trim() === "" ? "clear" : "set"} ${this.called(path)}`,
      fieldEdits(this.root, path, written(f, typed, this.store.page.units)));
  }

  /** Number i of several in brackets; others is what stands in the fields beside it. */
  setPart(path: string, i: number, typed: string, all: readonly string[]): void {
    const said = this.field(path), f: FormField | null = said?.kind === "target"
      ? { ...said, kind: "quantity", noun: "length", unit: "m" } : said;
    if (!f) return;
    const w = (x: string): string => written(f, x, this.store.page.units);
    this.send(`set ${this.called(path)}`, partEdits(this.root, path, i, w(typed), all.map(w)));
  }

  flag(path: string, on: boolean): void {
    const f = this.field(path);
    if (f) this.send(`${on ? "set" : "clear"} ${this.called(path)}`, on ? [{ set: path, value: "true" }]
        : f.default === "true" ? [{ set: path, value: "false" }] : fieldEdits(this.root, path, ""));
  }

  add(path: string, value: string, words: string): void {
    const p = this.store.page, n = entries(find(this.root, path)).length;
    this.send(`add ${words}`, addEdits(this.root, path, value));
    if (value.startsWith("{") && p.form && fieldAt(p.form, path).field?.kind === "group")
      this.store.set({ node: `${path}[${n}]` });
  }

  addKey(path: string, key: string, value: string): void {
    if (key) this.send(`add ${key}`, [{ set: join(path, key), value }]);
  }

  remove(path: string): void {
    const n = find(this.root, path), own = titleOf(n, this.called(path));
    if (!n) { this.store.set({ open: new Set([...this.store.page.open].filter((x) => x !== path)) }); return; }
    if (this.store.page.node.startsWith(path)) this.store.set({ node: up(path).replace(/\[\d+\]$/, "") || "shoot" });
    this.store.set({ open: new Set([...this.store.page.open].filter((x) => !x.startsWith(path))) });
    this.send(`remove ${own}`, [{ delete: path }]);
  }

  rename(path: string, key: string): void { this.send(`spell ${key}`, [{ rename: path, value: key }]); }

  copy(path: string): void {
    const list = up(path), n = find(this.root, path);
    // block by block, with its comments
    if (list === "setups") { duplicate(this.desk, Number(steps(path)[1])); return; }
    if (n) this.send(`copy ${titleOf(n, "entry")}`,
        [{ append: list, value: flow(n, freeName(entries(find(this.root, list)), child(n, "name")?.text ?? "")) }]);
  }

  /** Saves under a new name and goes on with that. */
  async saveAs(path: string): Promise<void> {
    if (!path) {
      this.store.set({ toast: "Give the name of a new folder, or of a new file that ends in .yaml." });
      return;
    }
    try {
      await this.desk.typing.flush();
      this.desk.live.take(await ask<State>("/api/save", { revision: this.store.page.state?.revision ?? 0, path }));
      const field = document.querySelector<HTMLInputElement>("[data-key=savename]");
      if (field?.value.trim() === path) field.value = "";
      this.store.set({ toast: `Saved as ${path}; work goes on there.` });
    } catch (e) { this.desk.say(e); }
  }

  send(name: string, edits: Edit[], merge = ""): void {
    if (edits.length) this.desk.editor.edit(name, edits, merge);
  }

  // The room.
  outline(): [number, number][] { return (this.store.page.view?.room.outline ?? []).map((c) => [c[0], c[1]]); }
  wall(i: number, typed: string): void {
    const metres = parseMetres(typedLength(typed, this.store.page.units)) ?? Number.NaN;
    if (!(metres > 0)) {
      this.store.set({ toast: `"${typed}" is no length; write 2.4 m, 240 cm or 7 ft 10 in` });
      return;
    }
    this.send(`length of wall ${i + 1}`, outlineEdits(this.root, setLength(this.outline(), i, metres)));
  }
  bend(o: readonly [number, number][], i: number, to: readonly [number, number], free: boolean): [number, number][] {
    return moveCorner(o, i, to, free ? 0 : 0.08);
  }
  push(o: readonly [number, number][], i: number, by: number): [number, number][] { return moveWall(o, i, by); }

  // Colours.
  async pick(path: string, head: string, what: string, now: { u: number; v: number } | null): Promise<void> {
    this.store.set({ picking: { path, head, what, chart: null, asked: null } });
    if (now) void this.colour(now, false, "");
    try {
      const chart = await ask<ChartView>(`/api/chart?head=${encodeURIComponent(head)}`);
      const p = this.store.page.picking;
      if (p?.path === path) this.store.set({ picking: { ...p, chart } });
    } catch (e) { this.desk.say(e); }
  }

  /** Asks for a colour: in u', v', or as a temperature. What comes is shown; take writes it. */
  async colour(q: { u: number; v: number } | { kelvin: number; duv: number }, take: boolean,
    merge: string): Promise<void> {
    const p = this.store.page.picking, mine = ++this.picks;
    if (!p) return;
    const query = "u" in q ? `u=${q.u.toFixed(5)}&v=${q.v.toFixed(5)}` : `kelvin=${q.kelvin}&duv=${q.duv}`;
    try {
      const asked = await ask<ColourView>(`/api/colour?head=${encodeURIComponent(p.head)}&${query}`);
      if (mine !== this.picks || this.store.page.picking?.path !== p.path) return;
      this.store.set({ picking: { ...this.store.page.picking, asked } });
      if (take && asked.light) this.take(asked.text, merge);
    } catch (e) { if (e instanceof Refused) this.store.set({ toast: e.message }); }
  }

  take(text: string, merge = ""): void {
    const p = this.store.page.picking;
    if (p) this.send(`colour of ${p.what}`, [{ set: p.path, value: text }], merge);
  }
}

/** A value as text in brackets; top gives the outermost group another name. */
export function flow(n: TreeNode, top = ""): string {
  if (n.kind === "list") return `[${(n.items ?? []).map((x) => flow(x)).join(", ")}]`;
  if (n.kind === "map")
    return `{${(n.keys ?? []).map((k, i) =>
      `${JSON.stringify(k)}: ${k === "name" && top ? JSON.stringify(top) : flow(n.items?.[i] ?? { kind: "none" })}`)
      .join(", ")}}`;
  if (n.kind === "none") return "~";
  return /^-?\d+(\.\d+)?$|^(true|false)$/.test(n.text ?? "") ? n.text ?? "" : JSON.stringify(n.text ?? "");
}
