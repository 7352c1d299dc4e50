// Actions of the day.
import { blocksOf } from "../../model/day.ts";
import type { Page } from "../../state/store.ts";
import type { Action } from "../action.ts";

const here = (p: Page): boolean => p.pane === "day", on = "[data-task]";
const chosen = (p: Page): string => (blocksOf(p.day).some((b) => b.task.id === p.dayTask) ?
  "" : "No task is selected.");

export const dayActions: readonly Action[] = [
  { name: "dayname", group: "form", words: "select a task", do: (d, x) =>
    d.store.set({ dayTask: d.store.page.dayTask === x.arg ? "" : x.arg }) },
  {
    name: "daylate", group: "day", words: "late: plan anew from now, with what is done and what runs", when: here,
    can: (p) => (p.day?.day ? "" : "There is no plan."), do: (d) => void d.day.late(),
  },
  { name: "daywhole", group: "day", words: "back to the plan of the whole day", when: here, can: (p) =>
    (p.day?.from ? "" : "It is the plan of the whole day."), do: (d) => void d.day.wholePlan() },
  { name: "daynow", group: "day", words: "what time it is for the day, typed", when: here, told: true, do: (d,
    x) => d.day.typed(x.text) },
  { name: "dayclock", group: "day", words: "go by the clock", when: here, do: (d) =>
    d.day.setNow(d.store.page.dayNow === "clock" ? "before" : "clock") },
  { name: "daybegun", group: "day", words: "the selected task has begun", when: here, can: chosen,
    keys: [{ key: "s", where: on }], do: (d, x) => void d.day.happened("begun", x.arg || undefined) },
  { name: "daydone", group: "day", words: "the selected task is done", when: here, can: chosen, keys: [{ key: "x",
    where: on }], do: (d, x) => void d.day.happened("done", x.arg || undefined) },
  {
    name: "dayundo", group: "day", words: "take back what was said last of the selected task", when: here,
    can: (p) => (p.day?.seen.some((s) => s.task === p.dayTask) ? "" : "Nothing has happened of it."), do: (d, x) =>
      void d.day.happened("undo", x.arg || undefined),
  },
  { name: "dayhold", group: "day", words: "hold the selected task where it is, or free it", when: here,
    can: chosen, keys: [{ key: "h", where: on }], do: (d, x) => d.day.toggleLock(x.arg || undefined) },
  {
    name: "daynudge", group: "day", words: "put the selected task a minute earlier or later (Shift: five)",
      when: here, can: chosen,
    keys: [
      { key: "ArrowLeft", where: on, says: { by: -1 } }, { key: "ArrowRight", where: on, says: { by: 1 } },
      { key: "Shift+ArrowLeft", where: on, says: { by: -1, far: true } }, { key: "Shift+ArrowRight", where: on,
        says: { by: 1, far: true } },
    ],
    do: (d, x) => d.day.nudge(x.by * (x.far ? 5 : 1)),
  },
  { name: "dayfree", group: "day", words: "free the order of the setups", when: here, do: (d) => d.day.freeOrder() },
  { name: "dayzoom", group: "form", words: "draw the clock for one setup, or for the day", do: (d, x) =>
    d.store.set({ dayZoom: d.store.page.dayZoom === x.arg ? "" : x.arg }) },
  {
    name: "daypart", group: "day", words: "plan, findings, kit list or papers of the day", when: here, told: true,
    do: (d, x) => {
      d.store.set({ dayPart: x.arg as "plan" });
      const p = d.store.page;
      if (x.arg === "papers" && p.paperDone < 0 && (!p.paperMade ||
        p.paperMade.revision !== p.day?.revision)) void d.day.paper(p.paper);
    },
    each: () => [["plan", "the plan of the day"], ["found", "what was found of the day"], ["kit",
      "the kit list with its ticks"], ["papers", "the papers"]].map(([arg, words]) => ({ words: words ?? "",
      says: { arg: arg ?? "" } })),
  },
  { name: "dayshow", group: "form", words: "show what a finding is about", do: (d, x) => d.day.show(x.path,
    x.arg === "plan") },
  { name: "kitout", group: "form", words: "a thing is in the van", do: (d, x) => void d.day.kit("out", x.arg) },
  { name: "kitback", group: "form", words: "a thing is home again", do: (d, x) => void d.day.kit("back", x.arg) },
  { name: "paper", group: "form", words: "show a paper", do: (d, x) => void d.day.paper(x.arg) },
  { name: "papersize", group: "form", words: "size of the paper", do: (d, x) =>
    void d.day.paper(d.store.page.paper, x.arg as "a4") },
  {
    name: "dayprint", group: "day", words: "print the paper that is shown", when: (p) => here(p) &&
      p.dayPart === "papers",
    can: (p) => (p.paperMade?.pages ? "" : "There is no page to print yet."), do: (d) => void d.day.print(),
  },
];
