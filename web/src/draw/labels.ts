// Where words stand in a drawing: each takes, of the places offered, the one where it covers least.

export interface Box { x: number; y: number; w: number; h: number }

/** A place offered: x as the anchor says, y of the baseline; turned by degrees about it. */
export interface Offer { x: number; y: number; anchor: "start" | "middle" | "end"; turn?: number }

/**
 * Width of a text, pixels, near enough to lay out by: Inter is 0.56 of its
 * size a character on average, a little more when bold.
 */
export const widthOf = (text: string, size: number, bold = false): number => text.length * size * (bold ? 0.59 : 0.55);

const common = (a: Box, b: Box): number => Math.max(0, Math.min(a.x + a.w, b.x + b.w) - Math.max(a.x, b.x)) *
  Math.max(0, Math.min(a.y + a.h, b.y + b.h) - Math.max(a.y, b.y));

/** The box of a text at a place. */
export function boxOf(o: Offer, w: number, size: number): Box {
  const left = o.anchor === "start" ? 0 : o.anchor === "end" ? -w : -w / 2, up = -size * 0.8, h = size * 1.05;
  if (!o.turn) return { x: o.x + left, y: o.y + up, w, h };
  const t = (o.turn * Math.PI) / 180, c = Math.cos(t), s = Math.sin(t), xs: number[] = [], ys: number[] = [];
  for (const x of [left, left + w]) for (const y of [up, up + h]) { xs.push(x * c - y * s); ys.push(x * s + y * c); }
  const x = Math.min(...xs), y = Math.min(...ys);
  return { x: o.x + x, y: o.y + y, w: Math.max(...xs) - x, h: Math.max(...ys) - y };
}

export class Labels {
  private readonly taken: Box[] = [];

  /** inside: what labels keep to, if anything. */
  constructor(private readonly inside: Box | null) {}

  /** Something that labels keep clear of. */
  keep(b: Box): void { this.taken.push(b); }
  keepAround(x: number, y: number, r: number): void { this.keep({ x: x - r, y: y - r, w: 2 * r, h: 2 * r }); }

  /** How much a box would cover, square pixels; what sticks out counts thrice. */
  cost(b: Box): number {
    const out = this.inside ? b.w * b.h - common(b, this.inside) : 0;
    return this.taken.reduce((sum, t) => sum + common(b, t), 3 * out);
  }

  /**
   * Puts a text of width w where it covers least; earlier offers are
   * liked a little better. The place is then taken.
   */
  put(w: number, size: number, offers: readonly Offer[]): Offer {
    let best = offers[0] ?? { x: 0, y: 0, anchor: "start" as const }, least = Infinity;
    offers.forEach((o, i) => {
      const c = this.cost(boxOf(o, w, size)) + i * 0.5;
      if (c < least) { least = c; best = o; }
    });
    this.keep(boxOf(best, w, size));
    return best;
  }
}

/** Places round a spot at a distance, the wanted direction first. */
export function around(x: number, y: number, r: number, dx: number, dy: number): Offer[] {
  const first = Math.atan2(dy, dx), out: Offer[] = [];
  for (const far of [r, r + 12, r + 28]) {
    for (const turn of [0, 1, -1, 2, -2, 3, -3, 4]) {
      const a = first + (turn * Math.PI) / 4, c = Math.cos(a), s = Math.sin(a);
      out.push({ x: x + c * far, y: y + s * far + 4, anchor: c > 0.35 ? "start" : c < -0.35 ? "end" : "middle" });
    }
  }
  return out;
}
