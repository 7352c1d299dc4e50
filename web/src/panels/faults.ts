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
      "").replace(/:.*$/, "").trim().replace(/^and (.+) hang in one place$/, "hangs where $1 does");
    const whose = /the (feet|legs) of [^:]*$/.exec(hit?.text.slice(0, hit.text.indexOf(name)) ?? "")?.[1];
    if (why || said) faults.set(path, why || (whose ? `its ${whose} ${said}` : said) || "");
  };
  for (const l of v.lights) if (l.at && !l.house) put("light", l.path, l.name, l.at);
  for (const q of v.panels) put("panel", q.path, "", q.at);
  for (const q of v.points) if (q.path) put("point", q.path, q.name, q.at);
  for (const [path, text] of dayFaults(p, v)) {
    const of = [...v.lights, ...v.panels].find((x) => path.startsWith(`${x.path}.`) || path === x.path)?.path;
    if (of && !faults.has(of)) faults.set(of, text);
  }
  // What is in the hand says it for itself.
  if (p.drag?.at) faults.delete(p.drag.path);
  return faults;
}

/** What stands beside a thing, by the code of the message. */
const short: Record<string, string> = {
  "day.stand-load": "too heavy for its stand", "day.stand-height": "higher than its stand goes",
  "day.tip": "would tip", "day.over-person": "hangs over the sitter", "day.heat-near": "hot near the face",
  "day.hot-cloth": "hot near cloth", "day.flash-near": "bare flash near the face", "day.boom": "boom: two fly it",
  "day.recycle": "not ready in time", "day.battery": "its charge does not last",
  "day.cable-way": "its cable crosses the way", "day.mains": "on the mains: which outlet?",
  "day.flicker": "bands under the mains", "day.ghost": "edges double", "day.flash-blur": "the flash is too long",
  "day.high-speed": "high speed sync costs", "day.strobe": "bursts", "day.haze-detectors": "haze and smoke heads",
  "camera.sync": "faster than the sync", "stage.in-frame": "in the frame", "stage.reflected": "shows in a mirror",
  "stage.in-glasses": "shows in the glasses",
};

/** Findings and cautions of the day about a setup, by path in the file; none where the day is of another text. */
function dayFaults(p: Page, v: SetupView): (readonly [string, string])[] {
  if (!p.day || p.day.revision !== v.revision) return [];
  return p.day.findings.filter((x) => x.severity !== "note" && x.at?.path?.startsWith(`setups[${v.index}].`))
    .map((x) => [x.at?.path ?? "", short[x.code] ?? x.text.replace(/^.*?: /, "").slice(0, 44)] as const);
}

/** What the frame shows: as the plan, and what is the camera's, the sitter's or the setup's. */
export function frameFaultsOf(p: Page, v: SetupView): Map<string, string> {
  const out = faultsOf(p, v), things = [...v.lights, ...v.panels];
  for (const [path, text] of dayFaults(p, v)) {
    if (!things.some((x) => path.startsWith(x.path)) && ![...out.values()].includes(text)) out.set(path, text);
  }
  return out;
}
