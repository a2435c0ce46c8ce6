import type { HandMow } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';

export type HandMowGround = {
  readonly lawn: readonly Polygon[];
  /** Not grass, or not to be touched: trees, obstacles, keep-outs. */
  readonly keepOuts: readonly Polygon[];
  readonly workingArea: readonly Polygon[];
  readonly zones: readonly Polygon[];
  /** Ground left out of the working area because it is too steep. */
  readonly steep: readonly Polygon[];
  /** How far outside their zone the blades still cut, metres; negative where they do not reach the wire. */
  readonly reachM: number;
  /** Grass at most this far from the working area counts as its edge, metres. */
  readonly edgeStripM: number;
  readonly gridM: number;
};

/** Smaller scraps are drawing noise, square metres. */
const LEAST_SCRAP_M2 = 0.001;
/** A smaller scrap beyond the edge strip, left in a sharp corner, counts with it, square metres. */
const LEAST_NARROW_M2 = 0.05;

/**
 * Grass (lawn without keep-outs) -> what the machine cuts (zones grown by the reach of the blades) and what is left for the hand, by
 * cause: `isolated` lawns in which nothing is mown, `steep` ground, `edge-strip` along the wire, `narrow` for the rest (passages that
 * are only driven through, fingers that no wire goes into). Grass = mown + hand-mow.
 *
 *    +--------------------------------+
 *    |  edge-strip                    |      narrow
 *    |   +------ zone ------------+   +---------------------
 *    |   |                        |   :
 */
export function handMow(ground: HandMowGround): { readonly mown: Polygon[]; readonly handMow: HandMow[] } {
  const { gridM } = ground;
  const { difference, intersection, positiveUnion } = kernel();
  const keepOuts = positiveUnion(ringsOf(ground.keepOuts), gridM);
  const grass = difference(ringsOf(ground.lawn), keepOuts, gridM);
  const cut = grown(ringsOf(ground.zones), ground.reachM, gridM);
  const mown = polygonsFromRings(intersection(grass, cut, gridM));
  const touched = lawnsTouched(ground.lawn, mown);
  const untouched = ringsOf(ground.lawn.filter((lawn) => !touched.has(lawn)));
  const left = difference(grass, cut, gridM);
  const isolated = intersection(left, untouched, gridM);
  const reached = difference(left, untouched, gridM);
  const steepGround = ringsOf(ground.steep);
  const steep = intersection(reached, steepGround, gridM);
  const level = difference(reached, steepGround, gridM);
  const drivenOnly = difference(ringsOf(ground.workingArea), ringsOf(ground.zones), gridM);
  const alongWire = grown(ringsOf(ground.workingArea), ground.edgeStripM, gridM);
  const strips = intersection(level, difference(alongWire, drivenOnly, gridM), gridM);
  const narrow = difference(level, strips, gridM);
  return {
    mown,
    handMow: [
      ...pieces(strips, 'edge-strip'),
      ...pieces(narrow, 'narrow').map(cornersToStrip),
      ...pieces(isolated, 'isolated'),
      ...pieces(steep, 'steep'),
    ],
  };
}

function grown(rings: readonly Ring[], byM: number, gridM: number): Ring[] {
  return byM === 0 || rings.length === 0 ? [...rings] : kernel().offset(rings, byM, gridM);
}

/** The lawns in which some ground is mown. */
function lawnsTouched(lawns: readonly Polygon[], mown: readonly Polygon[]): Set<Polygon> {
  const touched = new Set<Polygon>();
  for (const polygon of mown) {
    const [at] = interiorPoints(polygon, 1);
    const around = at === undefined ? undefined : lawns.find((lawn) => pointInPolygon(lawn, at.x, at.y));
    if (around !== undefined) touched.add(around);
  }
  return touched;
}

function cornersToStrip(piece: HandMow): HandMow {
  return piece.areaM2 < LEAST_NARROW_M2 ? { ...piece, cause: 'edge-strip' } : piece;
}

function pieces(rings: readonly Ring[], cause: HandMow['cause']): HandMow[] {
  return polygonsFromRings(rings)
    .map((polygon) => ({ polygon, areaM2: polygonAreaM2(polygon), cause }))
    .filter(({ areaM2 }) => areaM2 >= LEAST_SCRAP_M2);
}
