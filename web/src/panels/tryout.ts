// What a part from the kit would do, before it is taken.
import { levels } from "../model/light.ts";
import type { Page } from "../state/store.ts";
import { m, type Markup } from "../units/markup.ts";
import { length, type Units } from "../units/measures.ts";
import { minus, signed } from "../units/stops.ts";

export function tryCard(p: Page): Markup {
  const t = p.tryout, v = p.view, r = p.readings;
  if (!t || !v) return m``;
  const light = v.lights.find((l) => l.path === t.path), then = t.view?.view?.lights.find((l) => l.path === t.path);
  const body = t.failed ? m`<p class="why0" role="alert">${t.failed}</p>` : !t.view?.readings
    ? m`<p role="status">being computed</p>` : effects(p);
  return m`<div class="try" data-key="try"><div class="th">
    <b>${light?.called ?? ""}, ${t.part}: ${t.value || "none"}</b><button data-act="trytake"
    data-key="try-take" ${t.failed ? m`disabled` : ""}>take</button><button data-act="tryleave"
    data-key="try-leave">leave</button></div>${body}${then && light && r && t.view?.readings
      ? m`<p>${[then.setting !== light.setting ? `setting ${minus(then.setting)}` : "",
        Math.abs(then.watts - light.watts) > 1 ? `${Math.round(then.watts)} W from the mains` : "",
        then.kelvin && light.kelvin && Math.abs(then.kelvin - light.kelvin) > 40
          ? `${Math.round(then.kelvin / 10) * 10} K instead of ${Math.round(light.kelvin / 10) * 10} K` : "",
        sizes(light, then, p.units)].filter(Boolean).join("; ")}</p>` : ""}</div>`;
}

function sizes(a: { bodies: { width: number; height: number }[] },
  b: { bodies: { width: number; height: number }[] }, u: Units): string {
  const x = a.bodies[0], y = b.bodies[0];
  if (!x || !y) return "";
  const d = (q: { width: number; height: number }) => Math.sqrt(q.width * (q.height || q.width)), k = d(y) / d(x);
  if (!(d(x) > 0.01 && d(y) > 0.01)) return d(y) > d(x)
      ? `a face of ${length(y.width, u)} instead of a bare point` : "";
  return Math.abs(k - 1) > 0.03
    ? `face ${length(y.width, u)}${y.height ? ` × ${length(y.height, u)}`
      : ""}, shadow edges about × ${k.toFixed(2)}` : "";
}

/** The points that move, most first. */
function effects(p: Page): Markup {
  const t = p.tryout?.view, v = p.view, r = p.readings;
  if (!t?.readings || !t.view || !v || !r || r.units.length !== v.points.length)
    return m`<p role="status">waiting for readings</p>`;
  const now = levels(v, r, { k: new Map() }), then = levels(t.view, t.readings, { k: new Map() });
  const rows = v.points.map((q, i) => (
    { name: q.name, by: (then[i]?.stops ?? Number.NaN) - (now[i]?.stops ?? Number.NaN) }))
    .filter((x) => Number.isFinite(x.by) && Math.abs(x.by) > 0.05).sort((a, b) => Math.abs(b.by) - Math.abs(a.by));
  const sure = t.readings.word === "fine" ? "" : " Give or take 0.1.";
  return m`<p role="status">
    ${rows.length
      ? m`${rows.slice(0, 5).map((x, i) =>
        m`${i ? ", " : ""}${x.name} <b>${signed(x.by)}</b>`)} stops.${rows.length > 5
        ? ` ${rows.length - 5} more points move less.` : ""}${sure}`
      : `No point moves by more than a twentieth of a stop.${sure}`}</p>`;
}
