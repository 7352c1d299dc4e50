// What cannot be where it is, in a few words by path: from its geometry at once, else from the program's own checks.
import { whyNot } from "../model/things.ts";
import type { SetupView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { allMessages } from "./text.ts";

export function faultsOf(p: Page, v: SetupView): Map<string, string> {
  const faults = new Map<string, string>(),
    serious = allMessages(p).filter((x) => x.severity === "error" || x.severity === "finding");
  const put = (what: string, path: string, name: string, at: readonly [number, number, number]) => {
    const why = whyNot(v, { what, path }, at),
      hit = why || !name ? undefined
        : serious.find((x) => x.text.startsWith(`${name} `) || x.text.includes(` ${name} `));
    // The program names the thing and its place first; what is said of it is what comes after.
    const said = hit?.text.slice(hit.text.indexOf(name) + name.length).replace(/^ at -?[\d.]+, -?[\d.]+, -?[\d.]+/,
      "").replace(/:.*$/, "").trim().slice(0, 44);
    if (why || said) faults.set(path, why || said || "");
  };
  for (const l of v.lights) if (l.at && !l.house) put("light", l.path, l.name, l.at);
  for (const q of v.panels) put("panel", q.path, "", q.at);
  for (const q of v.points) if (q.path) put("point", q.path, q.name, q.at);
  // What is in the hand says it for itself.
  if (p.drag?.at) faults.delete(p.drag.path);
  return faults;
}
