// All actions, by name. What the list of actions shows is what menus, keys, buttons and fingers do.
import { isField, isKey, press, type Action, type Press } from "./action.ts";
import type { Desk } from "./desk.ts";
import { cameraActions } from "./list/camera.ts";
import { dayActions } from "./list/day.ts";
import { fileActions } from "./list/file.ts";
import { formActions } from "./list/forms.ts";
import { kitActions } from "./list/kit.ts";
import { libraryActions } from "./list/library.ts";
import { lightActions } from "./list/lights.ts";
import { pageActions } from "./list/page.ts";
import { pictureActions } from "./list/picture.ts";
import { planActions } from "./list/plan.ts";
import { pointActions } from "./list/points.ts";
import { scoutActions } from "./list/scout.ts";
import { setupActions } from "./list/setups.ts";

/** In the order in which keys are tried and the list is shown. */
export const actions: readonly Action[] = [
  ...scoutActions, ...setupActions, ...pointActions, ...lightActions, ...pictureActions, ...planActions,
    ...cameraActions,
    ...dayActions, ...libraryActions, ...kitActions, ...fileActions, ...pageActions,
  ...formActions,
];

const byName = new Map(actions.map((a) => [a.name, a]));

export const actionOf = (name: string): Action | undefined => byName.get(name);

/** Does what a press names, or says why it cannot be done. It reports whether there is such an action. */
export function run(d: Desk, name: string, says: Partial<Press> = {}): boolean {
  const a = byName.get(name), x = press(says);
  if (!a) return false;
  const act = (y: Press): unknown => {
    const why = a.can?.(d.store.page, y) ?? "";
    return why ? d.store.set({ toast: why }) : a.do(d, y);
  };
  if (!a.turn) { act(x); return true; }
  const p = d.store.page, y = a.turn(p, x), called = p.view?.lights.find((l) => l.path === y.path)?.name;
  // Until its turn comes what stood before a light in its list may be gone.
  d.inTurn(() => {
    const v = d.store.page.view,
      path = called === undefined || v?.lights.some((l) => l.path === y.path && l.name === called) ? y.path
        : v?.lights.find((l) => l.name === called)?.path;
    return path === undefined ? d.store.set({ toast: `${called} is gone.` }) : act({ ...y, path });
  });
  return true;
}

/**
 * Runs what a key asks for. No single key acts while a field is open or
 * being opened. It reports whether the key was one of ours.
 */
export function stroke(d: Desk, e: KeyboardEvent): boolean {
  const t = e.target, field = isField(t), p = d.store.page;
  if (p.opening && e.key !== "Escape") return false;
  const ranged = typeof HTMLInputElement !== "undefined" && t instanceof HTMLInputElement && e.key.startsWith("Arrow");
  const lies = (selector: string | undefined): boolean => selector !== undefined &&
    (t as Element | null)?.closest?.(selector) != null;
  for (const a of actions) {
    if (a.when?.(p) === false) continue;
    for (const k of a.keys ?? []) {
      if (!isKey(k.key, e) || ((field || ranged) && !k.field)) continue;
      if ((k.where && !lies(k.where)) || lies(k.notOn)) continue;
      // A key that is held down goes on as fast as the program does, and stops when it is let go.
      if (!(e.repeat && a.turn && p.turns > 0)) run(d, a.name, k.says);
      return true;
    }
  }
  return false;
}
