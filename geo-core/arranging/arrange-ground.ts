import type { Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { withoutNarrowPlaces } from '#geo-core/plane/narrow-places.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { standingApart } from '#geo-core/plane/standing-apart.ts';
import { type ClosedStraits, closeStraits, payingWidthM } from './close-straits.ts';
import type { KeepOutOutlines } from './keep-out-outlines.ts';

/** Working area before its corners are made drivable, and which straits were closed or left open for their cost. */
export type ArrangedGround = Pick<ClosedStraits, 'closed' | 'left'> & { readonly areas: readonly Polygon[] };

/** Pieces of working area smaller than this hold no machine, square metres. */
const LEAST_AREA_M2 = 0.25;

/**
 * Ground inside the boundary wire without keep-outs. Those that stand apart are holes as they are. The others are taken out in one
 * positive-fill sweep (ground counts once, every grown keep-out takes at least one away), then whatever is too narrow for two
 * wires, then the straits whose closing pays.
 */
export function arrangeGround(
  ground: readonly Polygon[],
  { simple, raw }: KeepOutOutlines,
  rules: Rules,
  gridM: number,
): ArrangedGround {
  const rings = ringsOf(ground);
  const { apart, near } = standingApart(rings, simple, Math.max(rules.wireGapM, payingWidthM(rules)));
  const swept = near.length + raw.length === 0 ? rings : kernel().positiveUnion([...rings, ...near, ...raw], gridM);
  const open = withoutNarrowPlaces(swept, rules.wireGapM, gridM);
  const { rings: arranged, closed, left } = closeStraits(open, rules, gridM);
  const areas = polygonsFromRings([...arranged, ...apart]).filter(isWorthWire);
  return { areas, closed, left };
}

/** Whether a piece of working area can hold a machine. */
export function isWorthWire(area: Polygon): boolean {
  return polygonAreaM2(area) >= LEAST_AREA_M2;
}
