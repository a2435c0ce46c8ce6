import type { KeepOut } from '#geo-core/model/plane-plan.ts';
import type { Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { discRing, insetContour } from '#geo-core/plane/inset-contour.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { reversedRing, turnsRightOnly } from '#geo-core/plane/polygons.ts';

/** Keep-outs grown by their distances, clockwise: those whose outlines are simple rings, and raw contours that need a sweep. */
export type KeepOutOutlines = { readonly simple: readonly Ring[]; readonly raw: readonly Ring[] };

/** Discs and convex things are simple as they are drawn; the others are where one sweep over all of them leaves no holes. */
export function keepOutOutlines(keepOuts: readonly KeepOut[], join: ReflexJoin, gridM: number): KeepOutOutlines {
  const convex: Ring[] = [];
  const others: Ring[] = [];
  for (const { polygons, discs, offsetM } of keepOuts) {
    for (const { x, y, radiusM } of discs) convex.push(onGrid(reversedRing(discRing(x, y, radiusM + offsetM)), gridM));
    if (discs.length > 0) continue;
    for (const { outer } of polygons) {
      const contour = insetContour(reversedRing(outer), new Float64Array(outer.length / 2).fill(offsetM), join);
      if (contour === undefined) continue;
      if (turnsRightOnly(contour)) convex.push(onGrid(contour, gridM));
      else others.push(contour);
    }
  }
  const swept = others.length === 0 ? [] : kernel().positiveUnion(others.map(reversedRing), gridM);
  if (swept.some((ring) => ringAreaM2(ring) < 0)) return { simple: convex, raw: others };
  return { simple: [...convex, ...swept.map(reversedRing)], raw: [] };
}

/** The ring as the kernel would round it. */
function onGrid(ring: Ring, gridM: number): Ring {
  const perMetre = Math.round(1 / gridM);
  return ring.map((value) => Math.round(value * perMetre) / perMetre);
}
