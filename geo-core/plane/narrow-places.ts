import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { kernel } from './kernel.ts';
import { polygonAreaM2 } from './measure.ts';
import { pointInRing, polygonsFromRings, ringsOf } from './polygons.ts';
import { cross, parameterOnSegment, pointSegmentM } from './segment.ts';

/**
 * Ground too narrow for two wires: found, and taken out.
 *
 * Rings bound ground on their left. A place is narrow where two stretches of ring face each other across the ground
 * nearer than gapM, unless they belong to one corner: then the way along the ring between them is at most 2.1 gapM (an
 * angle of 60 degrees has 2 gapM), which is how the audit sees it too.
 */
const CORNER_FACTOR = 2.1;
/** The opening lets places this much under the gap pass, metres: grid and chords. */
const OPENING_SLACK_M = 0.000_2;
/** The opened ground is grown by this before it is compared, so that walls drop out of the comparison, metres. */
const WALL_SLACK_M = 0.000_3;
const LEAST_PIECE_M2 = 0.000_1;
/** An outline this near a wall runs along it, metres. */
const ON_WALL_M = 0.000_05;
/** Half the width of needles that are dropped after a cut, metres. */
const NEEDLE_M = 0.000_3;
/** Short necks are cut straight across, this wide, metres. */
const CUT_WIDTH_M = 0.1;
const MOST_CUTS = 24;

/** The ground without necks, gaps and fingers narrower than gapM. Returns the same rings where there are none. */
export function withoutNarrowPlaces(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  if (gapM <= 0 || narrowestPlace(rings, gapM) === undefined) return rings;
  let ground: readonly Ring[] = withoutNarrowPieces(rings, gapM, gridM);
  for (let cuts = 0; cuts < MOST_CUTS; cuts++) {
    const place = narrowestPlace(ground, gapM);
    if (place === undefined) break;
    ground = clean(kernel().difference(ground, [cutAcross(place)], gridM), gridM);
  }
  return ground;
}

export type NarrowPlace = { readonly a: PlanePoint; readonly b: PlanePoint; readonly widthM: number };

/** The narrowest place under gapM, or undefined. */
function narrowestPlace(rings: readonly Ring[], gapM: number): NarrowPlace | undefined {
  const at = ringSegments(rings);
  const index = segmentIndex(at);
  const ways = waysOf(rings, at);
  let worst: NarrowPlace | undefined;
  for (let i = 0; index !== undefined && i < at.length / 4; i++) {
    const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
    const [minX, minY] = [Math.min(ax, bx) - gapM, Math.min(ay, by) - gapM];
    const [maxX, maxY] = [Math.max(ax, bx) + gapM, Math.max(ay, by) + gapM];
    index.search(minX, minY, maxX, maxY, (j) => {
      if (j <= i || (ways.ringOf[i] === ways.ringOf[j] && alongM(i, j, ways, at) <= CORNER_FACTOR * gapM)) return false;
      const place = nearestPair(at, i, j);
      if (place.widthM >= (worst?.widthM ?? gapM - 4 * OPENING_SLACK_M) || !facesGround(at, i, j, place)) return false;
      if (isInside(rings, (place.a.x + place.b.x) / 2, (place.a.y + place.b.y) / 2)) worst = place;
      return false;
    });
  }
  return worst;
}

/** Which ring each segment belongs to, where on it it starts, and how long the ring is. */
type Ways = { readonly ringOf: Int32Array; readonly startM: Float64Array; readonly ringM: readonly number[] };

function waysOf(rings: readonly Ring[], at: Float64Array): Ways {
  const ringOf = new Int32Array(at.length / 4);
  const startM = new Float64Array(at.length / 4);
  const ringM: number[] = [];
  let k = 0;
  rings.forEach((ring, r) => {
    let lengthM = 0;
    for (let i = 0; i < ring.length; i += 2, k++) {
      ringOf[k] = r;
      startM[k] = lengthM;
      lengthM += segmentLengthM(at, k);
    }
    ringM.push(lengthM);
  });
  return { ringOf, startM, ringM };
}

/** Ground lies on the left of both segments: the cheap first question before a point is looked for in all rings. */
function facesGround(at: Float64Array, i: number, j: number, { a, b }: NarrowPlace): boolean {
  const left = (k: number, { x, y }: PlanePoint) => cross(at[4 * k], at[4 * k + 1], at[4 * k + 2], at[4 * k + 3], x, y);
  const [first, second] = left(i, a) === 0 ? [b, a] : [a, b];
  return left(i, first) >= 0 && left(j, second) >= 0;
}

function segmentLengthM(segments: Float64Array, i: number): number {
  const dx = segments[4 * i + 2] - segments[4 * i];
  const dy = segments[4 * i + 3] - segments[4 * i + 1];
  return Math.sqrt(dx * dx + dy * dy);
}

/** The shorter way along the ring between two of its segments, end to start. */
function alongM(i: number, j: number, { ringOf, startM, ringM }: Ways, segments: Float64Array): number {
  const forward = startM[j] - startM[i] - segmentLengthM(segments, i);
  const backward = ringM[ringOf[i]] - (startM[j] - startM[i]) - segmentLengthM(segments, j);
  return Math.max(0, Math.min(forward, backward));
}

/** The nearest points of two segments that do not cross. */
function nearestPair(segments: Float64Array, i: number, j: number): NarrowPlace {
  const [a, b] = [segments.subarray(4 * i, 4 * i + 4), segments.subarray(4 * j, 4 * j + 4)];
  let best: NarrowPlace = { a: { x: 0, y: 0 }, b: { x: 0, y: 0 }, widthM: Number.POSITIVE_INFINITY };
  for (const [from, to] of [
    [a, b],
    [b, a],
  ]) {
    for (let end = 0; end < 4; end += 2) {
      const [x, y] = [from[end], from[end + 1]];
      const widthM = pointSegmentM(x, y, to[0], to[1], to[2], to[3]);
      if (widthM >= best.widthM) continue;
      const t = parameterOnSegment(x, y, to[0], to[1], to[2], to[3]);
      best = { a: { x, y }, b: { x: to[0] + t * (to[2] - to[0]), y: to[1] + t * (to[3] - to[1]) }, widthM };
    }
  }
  return best;
}

function isInside(rings: readonly Ring[], x: number, y: number): boolean {
  return rings.reduce((inside, ring) => inside !== pointInRing(ring, x, y), false);
}

/** Takes out the pieces that no disc of the gap's width reaches: those between two open places, and fingers deeper than it. */
function withoutNarrowPieces(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  const radiusM = gapM / 2 - OPENING_SLACK_M;
  const eroded = kernel().offset(rings, -radiusM, gridM);
  const open = eroded.length === 0 ? [] : kernel().offset(eroded, radiusM + WALL_SLACK_M, gridM);
  const rest = polygonsFromRings(kernel().difference(rings, open, gridM)).filter(
    (piece) => polygonAreaM2(piece) > LEAST_PIECE_M2,
  );
  const nearWall = nearnessTo(rings);
  const nearOpen = nearnessTo(open);
  const cut = rest.filter(({ outer }) => contactsOf(outer, nearWall) !== 1 || reachesDeeper(outer, radiusM, nearOpen));
  return cut.length === 0 ? rings : clean(kernel().difference(rings, ringsOf(cut), gridM), gridM);
}

/** How many separate stretches of a piece's outline face open ground instead of a wall. */
function contactsOf(outline: Ring, nearWall: Nearness): number {
  const faces: boolean[] = [];
  for (let i = 0; i < outline.length; i += 2) {
    const next = (i + 2) % outline.length;
    faces.push(!nearWall((outline[i] + outline[next]) / 2, (outline[i + 1] + outline[next + 1]) / 2, ON_WALL_M));
  }
  return faces.filter((face, i) => face && !faces[(i + faces.length - 1) % faces.length]).length;
}

/** Whether a piece has a corner farther than depthM from open ground. */
function reachesDeeper(outline: Ring, depthM: number, nearOpen: Nearness): boolean {
  for (let i = 0; i < outline.length; i += 2) if (!nearOpen(outline[i], outline[i + 1], depthM)) return true;
  return false;
}

/** Whether a point lies within reachM of any ring. */
type Nearness = (x: number, y: number, reachM: number) => boolean;

function nearnessTo(rings: readonly Ring[]): Nearness {
  const at = ringSegments(rings);
  const index = segmentIndex(at);
  const isNear = (x: number, y: number, reachM: number) => (i: number) =>
    pointSegmentM(x, y, at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]) < reachM;
  return (x, y, reachM) =>
    index?.collides(x - reachM, y - reachM, x + reachM, y + reachM, isNear(x, y, reachM)) ?? false;
}

/** A rectangle over the neck from wall to wall and a little beyond. */
function cutAcross({ a, b, widthM }: NarrowPlace): Ring {
  const [ux, uy] = widthM > 0 ? [(b.x - a.x) / widthM, (b.y - a.y) / widthM] : [1, 0];
  const [along, aside] = [CUT_WIDTH_M / 2, CUT_WIDTH_M / 2];
  const corner = (p: PlanePoint, forward: number, side: number): [number, number] => [
    p.x + ux * forward - uy * side,
    p.y + uy * forward + ux * side,
  ];
  return Float64Array.from([
    ...corner(a, -along, -aside),
    ...corner(b, along, -aside),
    ...corner(b, along, aside),
    ...corner(a, -along, aside),
  ]);
}

/** Drops what the comparison leaves behind, needles along walls, pinches and crumbs, by an opening that keeps corners. */
function clean(rings: readonly Ring[], gridM: number): Ring[] {
  const shrunk = kernel().offset(rings, -NEEDLE_M, gridM, 'mitre');
  const opened = polygonsFromRings(kernel().offset(shrunk, NEEDLE_M, gridM, 'mitre'));
  return ringsOf(opened.filter((polygon) => polygonAreaM2(polygon) > 100 * LEAST_PIECE_M2));
}
