// Files of makers and meters: chosen or dropped, with what was read, assumed and ignored, before anything is written.
import type { ImportView } from "../model/wire.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { button } from "./button.ts";
import { refusal } from "./kit.ts";

export function filesPart(p: Page): Markup {
  const n = p.imports.filter((x) => x.entries.length > 0).length,
    torn = p.importBad.filter((x) => !p.imports.some((y) => y.file === x.file));
  return m`<div class="gearpage" tabindex="0" role="group" aria-label="Files"><label class="gdrop"><b>Choose files, or
    drop them here</b><span>LM-63, EULUMDAT, TM-33: a head with its beam. TM-27, CGATS, columns (CSV): a surface, a gel,
    or the light of a head. GDTF: a fixture with its emitters and channels.</span><input type="file" multiple
    id="kitfiles" data-act="kitfiles" data-key="kitfiles" aria-label="Files of makers and meters"></label>
${torn.map((x) => m`<div class="gcard" data-key="bad-${x.file}"><h2>${x.file}</h2><p class="gno" role="alert">
  ${x.text}</p></div>`)}${p.imports.map((x) => card(p, x))}
${n ? m`<div class="acts">${button(p, "kittake", n === 1 ? "take it into my kit" : `take ${n} files into my kit`,
    { cls: "go", title: "" })}<span class="cap">Nothing is written before. Undo takes it back.</span></div>` : ""}
${refusal(p, "take")}</div>`;
}

function card(p: Page, x: ImportView): Markup {
  const says = (word: string, list: readonly string[]): Markup => (list.length ? m`<dt>${word}</dt>${list.map((t, i) =>
    m`<dd data-key="${word}${i}">${t}</dd>`)}` : m``);
  const again = p.importBad.find((y) => y.file === x.file), // asked once more, and refused
    first = x.entries[0], spectral = x.format.startsWith("spectrum");
  return m`<div class="gcard" data-key="im-${x.file}"><h2>${x.file}</h2><p class="gw">${x.format}: ${first ? ""
    : "not in the kit yet; say what it is of"}${x.entries.map((e) =>
    `${e.list.replace(/s$/, "")} “${e.name}”`).join(", ")}${x.copies
    ? `. The file itself is kept as kit/${x.copies}` : ""}</p><dl>${says("read", x.read)}${says("assumed", x.assumed)}
  ${says(first ? "ignored" : "asked", x.ignored)}
  ${says("odd", x.notes.map((n) => [n.at?.line ? `line ${n.at.line}: ` : "", n.text,
    n.fix ? `; ${n.fix}` : ""].join("")))}</dl><div class="acts">${first ? m`<label class="gin">
  <span>as</span><input type="text" data-act="kitas" data-n="${x.id}" data-key="as-${x.file}" value="${first.name}"
  autocomplete="off" spellcheck="false"></label>` : ""}${spectral ? m`<label class="gin"><span>it is of</span>
  <select data-act="kithead" data-n="${x.id}" data-key="of-${x.file}"><option value="">${first ? "what its file says"
    : "choose"}</option><option value="of reflectance"${first?.list === "surfaces" ? m` selected` : ""}>a
  surface</option>
  <option value="of transmittance"${first?.list === "gels" ? m` selected` : ""}>a gel</option>
  ${(p.kit?.heads ?? []).map((h) => m`<option value="${h.name}"${first?.list === "heads" && first.name === h.name
    ? m` selected` : ""}>the light of ${h.name}</option>`)}</select></label>` : ""}${x.modes.length > 1 ? m`<label
    class="gin"><span>mode</span><select data-act="kitmode" data-n="${x.id}"
    data-key="mode-${x.file}">${x.modes.map((n) => m`<option value="${n}"${n === x.mode ? m` selected`
    : ""}>${n}</option>`)}</select></label>` : ""}${x.lamp_sets.length > 1 ? m`<label class="gin"><span>lamps</span>
  <select data-act="kitlamps" data-n="${x.id}" data-key="lamps-${x.file}">${x.lamp_sets.map((n, i) => m`<option
    value="${i + 1}"${i + 1 === x.lamp_set ? m` selected` : ""}>${n}</option>`)}</select></label>`
    : ""}${button(p, "kitdrop", "leave it out", { n: x.id,
    key: `drop-${x.file}`, cls: "lnk", title: "" })}${again ? m`<p class="gno" role="alert"
    data-key="no-${x.file}">${again.text}
    What stands here is as it was before.</p>` : ""}</div></div>`;
}
