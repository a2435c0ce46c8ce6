import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { drivableLoops } from '#geo-core/plane/drivable-loops.ts';
import { discRing } from '#geo-core/plane/inset-contour.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { withoutNarrowPlaces } from '#geo-core/plane/narrow-places.ts';
import { polygonsFromRings, ringsOf, withoutNubs, withoutShortEdges } from '#geo-core/plane/polygons.ts';
import { isWorthWire } from './arrange-ground.ts';

/** Working areas with drivable loops, and the same areas before their bends and corners were laid. */
export type DrivableAreas = { readonly areas: readonly Polygon[]; readonly square: readonly Polygon[] };

/** Stretches of wire shorter than this are where arcs meet, metres. */
const SHORTEST_WIRE_M = 0.000_05;
/** Straight on, as the kernel's grid has it. */
const STRAIGHT_GRIDS = 10;
/** Corners on edges shorter than this are where mitres met, metres: twice what is opened away. */
const NUB_M = 0.000_6;
/** Ground round a corner that cannot be cut is left out this often, each time farther. */
const MOST_ROUNDS = 3;

/**
 * Makes the loops of arranged areas drivable. Where a corner is too sharp and no cut of it leaves the gap to the other side, the
 * machine cannot follow the wire: the tip is left out, and what is too narrow after that.
 */
export function drivableAreas(arranged: readonly Polygon[], rules: Rules, gridM: number): DrivableAreas {
  const { bendToleranceM, chamferLegM: legM, wireGapM: gapM } = rules;
  const square: Polygon[] = [];
  const areas = arranged.flatMap((area): Polygon[] => {
    let pieces: readonly Polygon[] = [area];
    for (let round = 1; ; round++) {
      const laid = pieces.map((piece) =>
        drivableLoops(withoutNubs(withoutShortEdges(piece, SHORTEST_WIRE_M), STRAIGHT_GRIDS * gridM, NUB_M), {
          bendToleranceM,
          legM,
          gapM,
        }),
      );
      const tips = laid.flatMap(({ tooSharp }) => tooSharp);
      if (tips.length === 0 || round > MOST_ROUNDS) {
        square.push(...pieces);
        return laid.map(({ loops }) => loops);
      }
      pieces = withoutTips(pieces, tips, (round * Math.max(gapM, legM)) / 2, gapM, gridM);
    }
  });
  return { areas, square };
}

function withoutTips(
  pieces: readonly Polygon[],
  tips: readonly PlanePoint[],
  radiusM: number,
  gapM: number,
  gridM: number,
): Polygon[] {
  const discs = tips.map(({ x, y }) => discRing(x, y, radiusM));
  const left = kernel().difference(ringsOf(pieces), discs, gridM);
  return polygonsFromRings(withoutNarrowPlaces(left, gapM, gridM)).filter(isWorthWire);
}
