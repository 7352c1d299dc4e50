// Actions on setups, and on the list of ways out.
import type { Page } from "../../state/store.ts";
import { asSaid, type Action, type Press } from "../action.ts";
import type { Desk } from "../desk.ts";
import * as setups from "../setups.ts";
import * as ways from "../ways.ts";

const of = (d: Desk, x: Press): number => (x.arg === "this" ? x.n : d.store.page.setup);
const many = (p: Page): number => p.state?.setups.length ?? 0;
const mine = (p: Page, x: Press): Press => ({ ...x, n: x.arg === "this" ? x.n : p.setup, arg: "this" });
const list = "#ways", button = "button,input,select,[role=button]";

export const setupActions: readonly Action[] = [
  {
    name: "waystep", group: "setups", words: "in the list of ways out: highlight the next one, or the one before",
      told: true,
    keys: [{ key: "ArrowUp", where: list, says: { by: -1 } }, { key: "ArrowDown", where: list, says: { by: 1 } }],
    do: (d, x) => { ways.step(d, x.by); d.sight(".way.at"); },
  },
  {
    name: "waytake", group: "setups", words: "in the list of ways out: take the highlighted one", told: true,
    keys: [{ key: "Enter", where: list, notOn: button }], do: (d) => ways.takeHighlighted(d),
  },
  { name: "take", group: "form", words: "take a way out", do: (d, x) => d.takeWay(x.n) },
  { name: "search", group: "setups", words: "search for ways out again",
    can: (p) => (p.searching >= 0 ? "The search is on its way." : ""), do: (d) => void d.findWays() },
  {
    name: "setup", group: "setups", words: "show a setup", told: true, turn: asSaid,
      do: (d, x) => d.showSetup(x.text !== "" ? Number(x.text) : Number(x.arg)),
    each: (p) => (p.state?.setups ?? []).map((s, i) => ({ words: `show ${s.name}`, says: { arg: String(i) } })),
  },
  {
    name: "next", group: "setups", words: "next setup (Shift: the one before)", keys: [{ key: "n", says: { by: 1 } },
      { key: "Shift+N", says: { by: -1 } }],
    turn: asSaid, can: (p) => (many(p) > 1 ? "" : "There is one setup only."),
      do: (d, x) => d.showSetup(d.store.page.setup + x.by),
  },
  { name: "duplicate", group: "setups", words: "duplicate the setup shown", undo: "duplicate …", turn: mine,
    do: (d, x) => setups.duplicate(d, of(d, x)) },
  { name: "naming", group: "setups", words: "rename the setup shown", undo: "rename …",
    do: (d, x) => setups.beginNaming(d, of(d, x)) },
  { name: "name", group: "form", words: "name of a setup", undo: "rename …",
    do: (d, x) => setups.rename(d, x.n, x.text) },
  {
    name: "earlier", group: "setups", words: "put the setup shown earlier", undo: "put … earlier",
    can: (p, x) => ((x.arg === "this" ? x.n : p.setup) > 0 ? "" : "It is the first."),
      do: (d, x) => setups.reorder(d, of(d, x), -1),
  },
  {
    name: "later", group: "setups", words: "put the setup shown later", undo: "put … later",
    can: (p, x) => ((x.arg === "this" ? x.n : p.setup) < many(p) - 1 ? "" : "It is the last."),
      do: (d, x) => setups.reorder(d, of(d, x), 1),
  },
  {
    name: "delsetup", group: "setups", words: "delete the setup shown", undo: "delete …",
    can: (p) => (many(p) > 1 ? "" : "A shoot keeps at least one setup."), do: (d, x) => setups.remove(d, of(d, x)),
  },
  { name: "keepsetup", group: "form", words: "keep the setup", do: (d) => d.store.set({ deleting: -1 }) },
];
