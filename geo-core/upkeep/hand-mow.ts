import type { HandMow } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2, polygonPerimeterM, ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { closedLine, pointInPolygon, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { turningVertices } from '#geo-core/plane/turning-vertices.ts';
import { cutGround } from './cut-ground.ts';

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
  /** Diameter of the cutting disc, metres. */
  readonly discM: number;
  /** Corners of the lawn that the wire cuts (`cornerPatches`). */
  readonly corners: readonly Ring[];
  /** Grass at most this far from the working area counts as its edge, metres. */
  readonly edgeStripM: number;
  readonly gridM: number;
};

/** How far the rough outline of the strips may stray. */
const ROUGH_M = 0.05;
/** Smaller scraps, and those thinner on average, are drawing noise, square metres and metres. */
const LEAST_SCRAP_M2 = 0.001;
const LEAST_WIDTH_M = 0.001;
/** A smaller scrap beyond the edge strip, left in a sharp corner, counts with it, square metres. */
const LEAST_NARROW_M2 = 0.05;

/**
 * Grass (lawn without keep-outs) -> what the machine cuts (`cutGround`) and what is left for the hand, by cause: `isolated` lawns in which
 * nothing is mown, `steep` ground, `edge-strip` along the wire with the length that a trimmer walks, `corner` where the wire cuts one,
 * `narrow` for the rest (passages that are only driven through, fingers that no wire goes into). Grass = mown + hand-mow.
 *
 *    +--------------------------------+
 *    | corner   edge-strip            |      narrow
 *    |   /----- zone -------------+   +---------------------
 *    |   |                        |   :
 */
export function handMow(ground: HandMowGround): HandMow[] {
  const { gridM } = ground;
  const cut = cutGround(ground);
  const left = kernel().difference(ringsOf(ground.lawn), [...ringsOf(ground.keepOuts), ...cut], gridM);
  const [isolated, reached] = parted(left, untouchedLawns(ground, cut, left), gridM);
  const [steep, level] = parted(reached, ringsOf(ground.steep), gridM);
  const [along, narrow] = stripsAndRest(ground, level);
  const [corners, strips] = parted(along, ground.corners, gridM);
  return [
    ...pieces(strips, 'edge-strip'),
    ...pieces(corners, 'corner'),
    ...pieces(narrow, 'narrow').map(scrapsToStrip),
    ...pieces(isolated, 'isolated'),
    ...pieces(steep, 'steep'),
  ];
}

/** The lawns in which nothing is mown. One lawn of which less is left than there was grass needs no further look. */
function untouchedLawns({ lawn, keepOuts, gridM }: HandMowGround, cut: readonly Ring[], left: readonly Ring[]): Ring[] {
  const leftM2 = left.reduce((sum, ring) => sum + ringAreaM2(ring), 0);
  if (lawn.length === 1 && leftM2 < totalAreaM2(lawn) - totalAreaM2(keepOuts) - LEAST_SCRAP_M2) return [];
  const grass = kernel().difference(ringsOf(lawn), ringsOf(keepOuts), gridM);
  const touched = lawnsTouched(lawn, polygonsFromRings(kernel().intersection(grass, cut, gridM)));
  return ringsOf(lawn.filter((one) => !touched.has(one)));
}

/** What of the ground lies inside, and what outside. */
function parted(ground: Ring[], inside: readonly Ring[], gridM: number): [Ring[], Ring[]] {
  if (inside.length === 0 || ground.length === 0) return [[], ground];
  return [kernel().intersection(ground, inside, gridM), kernel().difference(ground, inside, gridM)];
}

/**
 * Ground along the wires, and the rest. Mostly there is no rest, and a rough outline of the strips already shows it: of the
 * whole lawn, whose outline is short, or at least of what is left.
 */
function stripsAndRest(
  { lawn, workingArea, zones, edgeStripM, gridM }: HandMowGround,
  level: Ring[],
): [Ring[], Ring[]] {
  if (level.length === 0 || workingArea.length === 0) return [[], level];
  const { difference, intersection } = kernel();
  const mownThroughout = workingArea.every((polygon) => zones.includes(polygon));
  const drivenOnly = mownThroughout ? [] : difference(ringsOf(workingArea), ringsOf(zones), gridM);
  const rough = roughStrips(workingArea, edgeStripM, gridM);
  const isAllStrip = (ground: readonly Ring[]): boolean => difference(ground, rough, gridM).length === 0;
  if (isAllStrip(ringsOf(lawn)) || isAllStrip(level)) {
    if (drivenOnly.length === 0) return [level, []];
    const strips = difference(level, drivenOnly, gridM);
    return [strips, difference(level, strips, gridM)];
  }
  const alongWire = edgeStripM === 0 ? ringsOf(workingArea) : kernel().offset(ringsOf(workingArea), edgeStripM, gridM);
  const strips = intersection(level, difference(alongWire, drivenOnly, gridM), gridM);
  return [strips, difference(level, strips, gridM)];
}

/**
 * Ground that surely lies within `edgeStripM` of the working area, by a thinned outline: it strays by `ROUGH_M` at most, and so do
 * the chords of its arcs, so it is grown by that much less.
 */
function roughStrips(workingArea: readonly Polygon[], edgeStripM: number, gridM: number): Ring[] {
  const byM = edgeStripM - 2 * ROUGH_M;
  if (byM <= 0) return [];
  const thinned = ringsOf(workingArea).flatMap((ring) => {
    // A hole no wider than twice the growth closes.
    if (ringAreaM2(ring) < 0 && narrowerSideM(ring) < 2 * byM) return [];
    const line = closedLine(ring);
    const kept = turningVertices(line, 0, ring.length / 2, ROUGH_M);
    return [Float64Array.from(kept.slice(0, -1).flatMap((vertex) => [line[2 * vertex], line[2 * vertex + 1]]))];
  });
  return kernel().offset(thinned, byM, gridM, 'round', ROUGH_M);
}

function narrowerSideM(ring: Ring): number {
  let [minX, minY, maxX, maxY] = [ring[0], ring[1], ring[0], ring[1]];
  for (let i = 2; i < ring.length; i += 2) {
    minX = Math.min(minX, ring[i]);
    maxX = Math.max(maxX, ring[i]);
    minY = Math.min(minY, ring[i + 1]);
    maxY = Math.max(maxY, ring[i + 1]);
  }
  return Math.min(maxX - minX, maxY - minY);
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

function scrapsToStrip(piece: HandMow): HandMow {
  return piece.areaM2 < LEAST_NARROW_M2 ? { ...piece, cause: 'edge-strip', lengthM: stripLengthM(piece) } : piece;
}

function pieces(rings: readonly Ring[], cause: HandMow['cause']): HandMow[] {
  return polygonsFromRings(rings)
    .map((polygon) => ({ polygon, areaM2: polygonAreaM2(polygon), cause }))
    .filter(
      ({ polygon, areaM2 }) => areaM2 >= Math.max(LEAST_SCRAP_M2, (LEAST_WIDTH_M * polygonPerimeterM(polygon)) / 2),
    )
    .map((piece) => (cause === 'edge-strip' ? { ...piece, lengthM: stripLengthM(piece) } : piece));
}

/** Length of the rectangle with the same area and outline: l from 2 (l + w) = P and l w = A. Compact ground is a square. */
function stripLengthM({ polygon, areaM2 }: Pick<HandMow, 'polygon' | 'areaM2'>): number {
  const perimeterM = polygonPerimeterM(polygon);
  return (perimeterM + Math.sqrt(Math.max(0, perimeterM * perimeterM - 16 * areaM2))) / 4;
}
