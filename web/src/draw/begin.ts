// The room of the answers as it is typed: plan and section at one scale.
import type { BeginView } from "../model/wire.ts";
import { m, type Markup } from "../units/markup.ts";
import { lengthText } from "../units/stops.ts";
import { dimension } from "./hatch.ts";
import { dot } from "./place.ts";

export function beginDrawing(p: BeginView, w: number, h: number, feet: boolean): Markup {
  const a = p.answers, L = Math.max(0.5, a.length || 0.5), W = Math.max(0.5, a.width || 0.5),
    H = Math.max(0.5, a.height || 0.5), say = (v: number): string => lengthText(v, feet);
  const s = Math.max(4, Math.min((w - 130) / L, (h - 170) / (W + H))), x0 = (w - L * s) / 2 + 10, y0 = 50 + W * s,
    z0 = y0 + 84 + H * s;
  const X = (x: number): number => dot(x0 + x * s), Y = (y: number): number => dot(y0 - y * s),
    Z = (z: number): number => dot(z0 - z * s);
  const [cx, cy, cz] = p.camera, [fx, fy, fz] = p.face, [kx, ky, kz] = p.key, dir = Math.atan2(fy - cy, fx - cx);
  const half = Math.atan((a.upright ? 0.012 : 0.018) / (a.lens / 1000)),
    tall = Math.atan((a.upright ? 0.018 : 0.012) / (a.lens / 1000)), way = Math.sign(fx - cx) || -1;
  const ray = (t: number): string => `M${X(cx)} ${Y(cy)}L${X(cx + Math.cos(t) * 20)} ${Y(cy + Math.sin(t) * 20)}`;
  const side = (t: number): string => `M${X(cx)} ${Z(cz)}L${X(cx + way * 20)} ${Z(cz + Math.tan(t) * 20)}`,
    el = Math.atan2(fz - 0.2 - cz, Math.hypot(fx - cx, fy - cy));
  const key = (x: number, y: number, t: number): Markup => {
    const r = 0.45 * s, d = 0.16 * s;
    return m`<path class="lbody keyb" transform="translate(${x} ${y}) rotate(${dot((t * 180) / Math.PI)})"
      d="M0 ${-r}L${d} ${-r * 0.8}V${r * 0.8}L0 ${r}L${-d * 2} ${r * 0.2}V${-r * 0.2}Z"/>`;
  };
  const name = (x: number, y: number, t: string, anchor = "middle"): Markup =>
    m`<text class="nm" x="${dot(x)}" y="${dot(y)}" text-anchor="${anchor}">${t}</text>`;
  const marks = [0, Math.min(fx, cx), Math.max(fx, cx), L],
    feetOf = (x: number): Markup => m`<path class="ext" d="M${X(x)} ${Y(0) + 4}v26"/>`;
  return m`<defs><clipPath id="bg-plan"><rect x="${X(0)}" y="${Y(W)}" width="${dot(L * s)}" height="${dot(W * s)}"/>
    </clipPath><clipPath id="bg-sec"><rect x="${X(0)}" y="${Z(H)}" width="${dot(L * s)}" height="${dot(H * s)}"/>
    </clipPath></defs>
<g clip-path="url(#bg-plan)"><path class="view" d="${ray(dir + half)}${ray(dir - half)}"/></g>
  <g clip-path="url(#bg-sec)"><path class="view" d="${side(el + tall)}${side(el - tall)}"/></g>
<path class="cut" d="M${X(0)} ${Y(0)}H${X(L)}V${Y(W)}H${X(0)}Z"/>
  <path class="cut" d="M${X(0)} ${Z(0)}H${X(L)}V${Z(H)}H${X(0)}Z"/>
<g class="person" transform="translate(${X(fx)} ${Y(fy)}) rotate(${dot(
  (-Math.atan2(cy - fy, cx - fx) * 180) / Math.PI)})"><ellipse rx="${dot(0.14 * s)}" ry="${dot(0.24 * s)}"/>
  <circle r="${dot(0.085 * s)}"/></g>
<g class="person"><path d="M${X(fx - 0.14)} ${Z(0)}L${X(fx - 0.18)} ${Z(fz - 0.22)}H${X(fx + 0.18)}L${X(fx +
  0.14)} ${Z(0)}Z"/><ellipse cx="${X(fx)}" cy="${Z(fz)}" rx="${dot(0.09 * s)}" ry="${dot(0.13 * s)}"/></g>
<g transform="translate(${X(cx)} ${Y(cy)}) rotate(${dot((-dir * 180) / Math.PI)})">
  <rect class="solid" x="${dot(-0.11 * s)}" y="${dot(-0.07 * s)}" width="${dot(0.2 * s)}"
  height="${dot(0.14 * s)}"/></g>
<path class="leg" d="M${X(cx)} ${Z(cz)}V${Z(0.4)}M${X(cx)} ${Z(0.4)}L${X(cx - 0.4)} ${Z(0)}M${X(cx)} ${Z(0.4)}L${X(
  cx + 0.4)} ${Z(0)}M${X(kx)} ${Z(kz)}V${Z(0.4)}M${X(kx)} ${Z(0.4)}L${X(kx - 0.4)} ${Z(0)}M${X(kx)} ${Z(0.4)}L${X(
  kx + 0.4)} ${Z(0)}"/>
<rect class="solid" x="${X(cx - 0.1)}" y="${Z(cz + 0.06)}" width="${dot(0.2 * s)}" height="${dot(0.12 * s)}"/>
<path class="aimline" stroke="var(--ink-1)" d="M${X(kx)} ${Y(ky)}L${X(fx)} ${Y(fy)}M${X(kx)} ${Z(kz)}L${X(fx)} ${Z(
  fz)}"/>${key(X(kx), Y(ky), Math.atan2(-(fy - ky), fx - kx))}${key(X(kx), Z(kz), Math.atan2(-(fz - kz), fx - kx))}
${dimension(X(0), Y(W) - 20, X(L), Y(W) - 20, say(L))}${dimension(X(0) - 20, Y(0), X(0) - 20, Y(W),
  say(W))}${dimension(X(0) - 20, Z(0), X(0) - 20, Z(H), say(H))}
${marks.slice(0, -1).map((x, i) => {
  const b = marks[i + 1] ?? x;
  return b - x < 0.2 ? "" : dimension(X(x), Y(0) + 26, X(b), Y(0) + 26, say(b - x), true);
})}${feetOf(fx)}${feetOf(cx)}
${dimension(X(kx) + 0.5 * s, Z(0), X(kx) + 0.5 * s, Z(kz), say(kz))}${dimension(X(cx) + 0.5 * s, Z(0),
  X(cx) + 0.5 * s, Z(cz), say(cz))}
${name(X(cx), Y(cy) - 16, "Camera")}${name(X(fx), Y(fy) - 0.28 * s - 6, "Sitter")}${name(X(kx) + 0.5 * s + 6,
  Y(ky) + 4, "Key", "start")}<text class="dist" x="${dot((X(kx) + X(fx)) / 2)}" y="${dot((Y(ky) + Y(fy)) / 2 - 4)}"
  text-anchor="middle">${say(a.keyFar)}</text>`;
}
