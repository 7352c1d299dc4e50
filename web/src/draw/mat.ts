// What lies on the picture as a passepartout does: the mat over what the crop
// leaves out, the crop's handles, the type of a cover, the wipe.
import { isWhole, type Crop } from "../model/crop.ts";
import type { CoverView } from "../model/wire.ts";
import { m, r1, type Markup } from "../units/markup.ts";
import type { Box } from "./frame.ts";

/** The crop as a box on the screen. */
export const cropBox = (box: Box, c: Crop): Box => (
  { x: box.x + c[0] * box.w, y: box.y + c[1] * box.h, w: (c[2] - c[0]) * box.w, h: (c[3] - c[1]) * box.h });

/** The mat: what is outside the crop lies under it, dimmed but to be seen. */
export function mat(box: Box, c: Crop): Markup {
  if (isWhole(c)) return m``;
  const k = cropBox(box, c), outer = `M${r1(box.x)} ${r1(box.y)}h${r1(box.w)}v${r1(box.h)}h${r1(-box.w)}Z`,
    inner = `M${r1(k.x)} ${r1(k.y)}v${r1(k.h)}h${r1(k.w)}v${r1(-k.h)}Z`;
  return m`<path class="mat" data-key="mat" d="${outer}${inner}"/><path class="edge" data-key="matedge" d="${inner}"/>`;
}

const grips = [["nw", 0, 0, "top left corner"], ["n", 0.5, 0, "top edge"], ["ne", 1, 0, "top right corner"],
  ["e", 1, 0.5, "right edge"], ["se", 1, 1, "bottom right corner"], ["s", 0.5, 1, "bottom edge"],
  ["sw", 0, 1, "bottom left corner"], ["w", 0, 0.5, "left edge"]] as const;

/** Handles of the crop: corners, edges, and the middle to move the whole. */
export function cropHandles(box: Box, c: Crop): Markup {
  const k = cropBox(box, c);
  return m`<rect class="cropmove" data-drag="crop" data-path="move" data-key="crop-move" role="button" tabindex="0"
    aria-label="Crop as a whole; arrow keys move it" x="${r1(k.x)}" y="${r1(k.y)}" width="${r1(k.w)}"
    height="${r1(k.h)}"/>${grips.map(([id, fx, fy, words]) => {
    const x = k.x + fx * k.w, y = k.y + fy * k.h;
    return m`<g class="grip g-${id}" data-drag="crop" data-path="${id}" data-key="crop-${id}" role="button"
      tabindex="0" aria-label="Crop, ${words}; arrow keys move it"><rect class="hit0" x="${r1(x - 22)}"
      y="${r1(y - 22)}" width="44" height="44"/><rect class="knob" x="${r1(x - 4.5)}" y="${r1(y - 4.5)}" width="9"
      height="9"/></g>`;
  })}`;
}

/** Where a cover's type stands: title, columns of lines, and the margin that type keeps to. */
export function coverMarks(box: Box, c: Crop, cover: CoverView): Markup {
  const k = cropBox(box, c), g = cover.margin * k.w, x0 = k.x + g, y0 = k.y + g, x1 = k.x + k.w - g,
    y1 = k.y + k.h - g, ty = Math.max(y0, k.y + cover.title * k.h), col = Math.max(0, cover.column * k.w - g);
  const column = (x: number) => m`<path class="type" d="M${r1(x)} ${r1(ty)}V${r1(y1)}"/>`;
  const left = cover.lines === "left" || cover.lines === "both",
    right = cover.lines === "right" || cover.lines === "both";
  const text = (x: number, y: number, w: string) => m`<text class="typew" x="${r1(x)}" y="${r1(y)}">${w}</text>`;
  return m`<g class="covermarks" aria-hidden="true">
    <path class="under" d="M${r1(x0)} ${r1(y0)}H${r1(x1)}V${r1(y1)}H${r1(x0)}Z"/>
    <path class="type" d="M${r1(x0)} ${r1(y0)}H${r1(x1)}V${r1(y1)}H${r1(x0)}ZM${r1(x0)} ${r1(ty)}H${r1(x1)}"/>
    ${text(x0 + 6, y0 + 15, "title")}${left ? m`${column(x0 + col)}${text(x0 + 6, ty + 15, "lines")}` : ""}${right
      ? m`${column(x1 - col)}${text(x1 - col + 6, ty + 15, "lines")}` : ""}</g>`;
}
