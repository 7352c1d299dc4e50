// Why a ring is not met, in words: what the light that matters there can still do.
import type { LightView } from "./wire.ts";

/**
 * gap is predicted less wanted in stops; shares and lights go by layer. The light that is there for the point, by
 * its role in the point's name (hair for the hair edge), is the one to ask; else that of the greatest share that can
 * be set.
 */
export function why(gap: number, shares: readonly number[], lights: readonly (LightView | undefined)[],
  point = ""): string {
  const all = shares.map((s, i) => ({ s, l: lights[i] })).filter((x): x is { s: number; l: LightView } =>
    x.l !== undefined).sort((a, b) => b.s - a.s);
  const words = point.toLowerCase().split(" "), reach = all.filter((x) => !x.l.house && x.s > 0.02);
  const main = reach.find((x) => x.l.role !== "" && words.includes(x.l.role.toLowerCase())) ?? reach[0];
  if (!main) return "only lights of the house reach it";
  const name = main.l.called, most = all[0];
  if (gap < 0) {
    if (main.l.lock) return `${name} is locked`;
    if (main.l.headroom_stops < 0.05) return `${name} is at full`;
    // Light adds: what is gained when this one light goes to full.
    const gain = Math.log2(1 + main.s * (2 ** main.l.headroom_stops - 1)), left = -gap - gain;
    return left > 0.15 ? `${name} at full leaves ${left.toFixed(1)}` : `balance can raise ${name}`;
  }
  if (most && most.l !== main.l && most.s > 0.5)
    return `${most.l.called} gives ${Math.round(most.s * 100)} % of it, as found`;
  if (main.l.lock) return `${name} is locked`;
  return main.l.down_stops < 0.05 ? `${name} is as low as it goes` : `balance can lower ${name}`;
}
