// Files that are dropped on the Kit screen.
import type { Desk } from "../actions/desk.ts";

export class KitHands {
  constructor(desk: Desk) {
    const kit = document.getElementById("kit");
    const over = (on: boolean): void => { kit?.toggleAttribute("data-dropping", on); };
    kit?.addEventListener("dragover", (e) => {
      if (!e.dataTransfer?.types.includes("Files")) return;
      e.preventDefault();
      over(true);
    });
    kit?.addEventListener("dragleave", (e) => {
      if (!(e.relatedTarget instanceof Node && kit.contains(e.relatedTarget))) over(false);
    });
    kit?.addEventListener("drop", (e) => {
      over(false);
      const list = [...(e.dataTransfer?.files ?? [])];
      if (!list.length) return;
      e.preventDefault();
      void desk.gear.read(list);
    });
  }
}
