// The Kit screen: own things beside the generic ones, the thing chosen, files, what readings taught.
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";

export function kitScreen(p: Page): Markup {
  const n = p.kit?.heads.length ?? 0;
  return m`<div class="kithead"><span class="ds" role="status">${n ? `${n} heads in the kit` : ""}</span></div>`;
}
