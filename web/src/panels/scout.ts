// The Scout screen: the place by photographs, by walking round it, and what is assumed of it.
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";

export function scoutScreen(_: Page): Markup {
  return m`<div class="schead"><h2>Scout</h2></div><div class="scmain"></div>`;
}
