import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { kernel } from './kernel.ts';
import { distanceM, polygonAreaM2 } from './measure.ts';
import { polygonsFromRings, ringsOf } from './polygons.ts';
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
/** Spikes of ground that are this narrow farther in than half of it are cut off however short they are, metres. */
const SPIKE_M = 0.1;
/** Half the width of cuts that are given back, metres. */
const HAIRLINE_M = 0.02;
/** Short necks are cut straight across, this wide, metres. */
const CUT_WIDTH_M = 0.1;
const MOST_ROUNDS = 8;
const MOST_PLACES = 2000;

/** The ground without necks, gaps and fingers narrower than gapM. Returns the same rings where there are none. */
export function withoutNarrowPlaces(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  if (gapM <= 0) return rings;
  const wide = withoutNecks(rings, gapM, gridM);
  return narrowPlaces(wide, SPIKE_M, 1).length === 0 ? wide : withoutNarrowPieces(wide, SPIKE_M, gridM);
}

function withoutNecks(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  if (narrowPlaces(rings, gapM, 1).length === 0) return rings;
  let ground: readonly Ring[] = withoutNarrowPieces(rings, gapM, gridM);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const places = narrowPlaces(ground, gapM, MOST_PLACES);
    if (places.length === 0) break;
    ground = clean(kernel().difference(ground, apartFromEachOther(places, gapM).map(cutAcross), gridM), gridM);
  }
  return ground === rings ? rings : withoutHairlines(ground, rings, gridM);
}

/** Gives back cuts so thin that the wire would run out and back along one line: a closing, never beyond the first ground. */
function withoutHairlines(ground: readonly Ring[], first: readonly Ring[], gridM: number): Ring[] {
  const grown = kernel().offset(ground, HAIRLINE_M, gridM, 'mitre');
  return clean(kernel().intersection(kernel().offset(grown, -HAIRLINE_M, gridM, 'mitre'), first, gridM), gridM);
}

type NarrowPlace = { readonly a: PlanePoint; readonly b: PlanePoint; readonly widthM: number };

/**
 * Places under gapM, at most `most` of them. Both ends see the other on the ground's side of their own wall; should a third
 * wall stand between them, it makes a narrower place of its own with each of them.
 */
function narrowPlaces(rings: readonly Ring[], gapM: number, most: number): NarrowPlace[] {
  const at = ringSegments(rings);
  const index = segmentIndex(at);
  const ways = waysOf(rings, at);
  const found: NarrowPlace[] = [];
  for (let i = 0; index !== undefined && i < at.length / 4 && found.length < most; i++) {
    const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
    const [minX, minY] = [Math.min(ax, bx) - gapM, Math.min(ay, by) - gapM];
    const [maxX, maxY] = [Math.max(ax, bx) + gapM, Math.max(ay, by) + gapM];
    index.collides(minX, minY, maxX, maxY, (j) => {
      if (j <= i || !liesLeft(at, i, j) || !liesLeft(at, j, i)) return false;
      const place = nearestPlaces(at, ways, i, j, CORNER_FACTOR * gapM);
      if (place === undefined || place.widthM >= gapM - 4 * OPENING_SLACK_M || !facesGround(at, i, j, place))
        return false;
      found.push(place);
      return found.length >= most;
    });
  }
  return found;
}

/** The narrowest places, none nearer to a narrower one than half a gap: those are for the next round. */
function apartFromEachOther(places: readonly NarrowPlace[], gapM: number): NarrowPlace[] {
  const chosen: NarrowPlace[] = [];
  const nearM = gapM / 2;
  const isApart = (place: NarrowPlace) =>
    chosen.every((other) => {
      const dx = (place.a.x + place.b.x - other.a.x - other.b.x) / 2;
      const dy = (place.a.y + place.b.y - other.a.y - other.b.y) / 2;
      return dx * dx + dy * dy > nearM * nearM;
    });
  for (const place of places.toSorted((a, b) => a.widthM - b.widthM)) if (isApart(place)) chosen.push(place);
  return chosen;
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

/** Whether any of segment j lies on the ground's side of segment i: the cheap first question. */
function liesLeft(at: Float64Array, i: number, j: number): boolean {
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  return cross(ax, ay, bx, by, at[4 * j], at[4 * j + 1]) > 0 || cross(ax, ay, bx, by, at[4 * j + 2], at[4 * j + 3]) > 0;
}

/** Whether each of two places lies on the ground's side of the other's segment. */
function facesGround(at: Float64Array, i: number, j: number, { a, b }: NarrowPlace): boolean {
  const left = (k: number, { x, y }: PlanePoint) => cross(at[4 * k], at[4 * k + 1], at[4 * k + 2], at[4 * k + 3], x, y);
  return left(i, b) >= 0 && left(j, a) >= 0;
}

function segmentLengthM(segments: Float64Array, i: number): number {
  const dx = segments[4 * i + 2] - segments[4 * i];
  const dy = segments[4 * i + 3] - segments[4 * i + 1];
  return Math.sqrt(dx * dx + dy * dy);
}

/**
 * The nearest places of two segments. On one ring only places at least cornerM apart along it, either way, count: with p, q
 * metres along the two segments the allowed q - p form a strip, and the distance is convex, so where the nearest places
 * are not allowed the nearest allowed ones lie on an edge of the strip.
 */
function nearestPlaces(at: Float64Array, ways: Ways, i: number, j: number, cornerM: number): NarrowPlace | undefined {
  const free = nearestPair(at, i, j);
  if (ways.ringOf[i] !== ways.ringOf[j]) return free;
  const ringM = ways.ringM[ways.ringOf[i]];
  const startsM = ways.startM[j] - ways.startM[i];
  const [leastM, mostM] = [startsM - segmentLengthM(at, i), startsM + segmentLengthM(at, j)];
  if (mostM < cornerM || leastM > ringM - cornerM || ringM < 2 * cornerM) return undefined;
  const apartM = startsM + alongSegmentM(at, j, free.b) - alongSegmentM(at, i, free.a);
  if (apartM >= cornerM && apartM <= ringM - cornerM) return free;
  return nearestAtShift(at, i, j, (apartM < cornerM ? cornerM : ringM - cornerM) - startsM);
}

/** The nearest places p metres along segment i and p + shiftM metres along segment j: the least of a parabola in p. */
function nearestAtShift(at: Float64Array, i: number, j: number, shiftM: number): NarrowPlace | undefined {
  const lowM = Math.max(0, -shiftM);
  const highM = Math.min(segmentLengthM(at, i), segmentLengthM(at, j) - shiftM);
  if (lowM > highM) return undefined;
  const placesAt = (p: number): NarrowPlace => {
    const [a, b] = [pointOnSegment(at, i, p), pointOnSegment(at, j, p + shiftM)];
    return { a, b, widthM: distanceM(a.x, a.y, b.x, b.y) };
  };
  const [low, high] = [placesAt(lowM), placesAt(highM)];
  const [gx, gy] = [low.b.x - low.a.x, low.b.y - low.a.y];
  const [dx, dy] = [high.b.x - high.a.x - gx, high.b.y - high.a.y - gy];
  const squared = dx * dx + dy * dy;
  const share = squared === 0 ? 0 : Math.min(1, Math.max(0, -(gx * dx + gy * dy) / squared));
  return placesAt(lowM + share * (highM - lowM));
}

function pointOnSegment(at: Float64Array, i: number, alongM: number): PlanePoint {
  const lengthM = segmentLengthM(at, i);
  const t = lengthM === 0 ? 0 : alongM / lengthM;
  return {
    x: at[4 * i] + t * (at[4 * i + 2] - at[4 * i]),
    y: at[4 * i + 1] + t * (at[4 * i + 3] - at[4 * i + 1]),
  };
}

function alongSegmentM(at: Float64Array, i: number, { x, y }: PlanePoint): number {
  return distanceM(at[4 * i], at[4 * i + 1], x, y);
}

/** The nearest points of two segments that do not cross, the first on segment i. */
function nearestPair(at: Float64Array, i: number, j: number): NarrowPlace {
  let best: NarrowPlace = { a: { x: 0, y: 0 }, b: { x: 0, y: 0 }, widthM: Number.POSITIVE_INFINITY };
  for (const [from, to] of [
    [i, j],
    [j, i],
  ]) {
    const [ax, ay, bx, by] = [at[4 * to], at[4 * to + 1], at[4 * to + 2], at[4 * to + 3]];
    for (let end = 4 * from; end < 4 * from + 4; end += 2) {
      const [x, y] = [at[end], at[end + 1]];
      const widthM = pointSegmentM(x, y, ax, ay, bx, by);
      if (widthM >= best.widthM) continue;
      const t = parameterOnSegment(x, y, ax, ay, bx, by);
      const foot = { x: ax + t * (bx - ax), y: ay + t * (by - ay) };
      best = from === i ? { a: { x, y }, b: foot, widthM } : { a: foot, b: { x, y }, widthM };
    }
  }
  return best;
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
