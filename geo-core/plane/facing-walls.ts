import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import { ringSegments } from './box-index.ts';
import { distanceM } from './measure.ts';
import { cross, parameterOnSegment, pointSegmentM } from './segment.ts';
import { type SegmentTree, segmentTree, someSegment } from './segment-tree.ts';

/**
 * Where rings that bound ground on their left face each other across it nearer than a gap. Two stretches of one corner do not
 * count: the way along the ring between them is at most 1.1 gaps longer than the straight one (a corner of 60 degrees that is a gap
 * wide has one gap), which is how the audit sees it too.
 */
const DETOUR_GAPS = 1.1;
/** The nearest places that are no corner are found by steps that grow at least this much, metres. */
const LEAST_STEP_M = 1e-6;

/** Two places of walls that face each other, and how far apart they are. */
export type FacingPlaces = {
  readonly a: PlanePoint;
  readonly b: PlanePoint;
  readonly widthM: number;
  /** Segments of the walls that hold a and b. */
  readonly segmentA: number;
  readonly segmentB: number;
};

/** The segments of rings with what a look along them needs. */
export type Walls = {
  readonly tree: SegmentTree;
  /** Which ring each segment belongs to, where on it it starts, and how long it is. */
  readonly ringOf: Int32Array;
  readonly startsM: Float64Array;
  readonly lengthsM: Float64Array;
  readonly ringsM: Float64Array;
  /** How far each segment reaches: two places are near where they are nearer than the reaches of both together. */
  readonly reachesM: Float64Array;
  readonly mostReachM: number;
};

/** The walls of rings, each segment with its reach (one number for all, or one for each in the order of the rings). */
export function wallsOf(rings: readonly Ring[], reach: number | Float64Array): Walls {
  const at = ringSegments(rings);
  const count = at.length / 4;
  const ringOf = new Int32Array(count);
  const [startsM, lengthsM] = [new Float64Array(count), new Float64Array(count)];
  const ringsM = new Float64Array(rings.length);
  let k = 0;
  rings.forEach((ring, r) => {
    let lengthM = 0;
    for (let i = 0; i < ring.length; i += 2, k++) {
      ringOf[k] = r;
      startsM[k] = lengthM;
      lengthsM[k] = distanceM(at[4 * k], at[4 * k + 1], at[4 * k + 2], at[4 * k + 3]);
      lengthM += lengthsM[k];
    }
    ringsM[r] = lengthM;
  });
  const reachesM = typeof reach === 'number' ? new Float64Array(count).fill(reach) : reach;
  let mostReachM = 0;
  for (const reachM of reachesM) if (reachM > mostReachM) mostReachM = reachM;
  return { tree: segmentTree(at), ringOf, startsM, lengthsM, ringsM, reachesM, mostReachM };
}

/**
 * Places nearer than the reaches of both by more than slackM, at most `most` of them. Both ends see the other on the ground's side of their own wall; should a
 * third wall stand between them, it makes a nearer place of its own with each of them.
 */
export function facingPlaces(walls: Walls, slackM: number, most: number): FacingPlaces[] {
  const { tree, ringOf, reachesM, mostReachM } = walls;
  const { at } = tree;
  const found: FacingPlaces[] = [];
  for (let i = 0; i < tree.count && found.length < most; i++) {
    const k = 4 * i;
    const reachM = reachesM[i] + mostReachM;
    const minX = Math.min(at[k], at[k + 2]) - reachM;
    const maxX = Math.max(at[k], at[k + 2]) + reachM;
    const minY = Math.min(at[k + 1], at[k + 3]) - reachM;
    const maxY = Math.max(at[k + 1], at[k + 3]) + reachM;
    someSegment(tree, minX, minY, maxX, maxY, (j) => {
      if (j <= i) return false;
      const gapM = reachesM[i] + reachesM[j];
      const detourM = DETOUR_GAPS * gapM;
      if (ringOf[i] === ringOf[j] && isOneCorner(walls, i, j, detourM)) return false;
      if (!liesLeft(at, i, j) || !liesLeft(at, j, i) || apartM(at, i, j) >= gapM - slackM) return false;
      const places = nearestPlaces(walls, i, j, detourM, gapM - slackM);
      if (places === undefined || !facesGround(at, places)) return false;
      found.push(places);
      return found.length >= most;
    });
  }
  return found;
}

/** Whether no two places of two segments of one ring are cornerM apart along it, both ways round. */
function isOneCorner({ ringOf, startsM, lengthsM, ringsM }: Walls, i: number, j: number, cornerM: number): boolean {
  const ringM = ringsM[ringOf[i]];
  const shiftM = startsM[j] - startsM[i];
  return shiftM + lengthsM[j] < cornerM || shiftM - lengthsM[i] > ringM - cornerM || ringM < 2 * cornerM;
}

/** Whether any of segment j lies on the ground's side of segment i: the cheap first question. */
function liesLeft(at: Float64Array, i: number, j: number): boolean {
  const ax = at[4 * i];
  const ay = at[4 * i + 1];
  const bx = at[4 * i + 2];
  const by = at[4 * i + 3];
  return cross(ax, ay, bx, by, at[4 * j], at[4 * j + 1]) > 0 || cross(ax, ay, bx, by, at[4 * j + 2], at[4 * j + 3]) > 0;
}

/** How far apart two segments that do not cross are. */
function apartM(at: Float64Array, i: number, j: number): number {
  return Math.min(
    endToSegmentM(at, i, 0, j),
    endToSegmentM(at, i, 2, j),
    endToSegmentM(at, j, 0, i),
    endToSegmentM(at, j, 2, i),
  );
}

/** From the first (end 0) or last (end 2) point of a segment to another segment. */
function endToSegmentM(at: Float64Array, from: number, end: 0 | 2, to: number): number {
  const k = 4 * to;
  return pointSegmentM(at[4 * from + end], at[4 * from + end + 1], at[k], at[k + 1], at[k + 2], at[k + 3]);
}

/** Whether each of two places lies on the ground's side of the other's segment. */
function facesGround(at: Float64Array, { a, b, segmentA, segmentB }: FacingPlaces): boolean {
  const left = (k: number, { x, y }: PlanePoint) => cross(at[4 * k], at[4 * k + 1], at[4 * k + 2], at[4 * k + 3], x, y);
  return left(segmentA, b) >= 0 && left(segmentB, a) >= 0;
}

/**
 * The nearest places of two segments, where they are nearer than leastM. On one ring only places count between which the way along it,
 * either way, is longer than the straight one by the detour: none nearer than a known distance can be it unless they are that and
 * the detour apart along the ring, so the distance is raised from below until it stays.
 */
function nearestPlaces(walls: Walls, i: number, j: number, detourM: number, leastM: number): FacingPlaces | undefined {
  const free = nearestPair(walls.tree.at, i, j);
  if (walls.ringOf[i] !== walls.ringOf[j]) return free;
  for (let knownM = free.widthM; ; ) {
    const places = nearestApart(walls, i, j, free, knownM + detourM, leastM);
    if (places === undefined || places.widthM < knownM + LEAST_STEP_M) return places;
    knownM = places.widthM;
  }
}

/**
 * The nearest places of two segments of one ring at least apartM apart along it, either way: with p, q metres along the two
 * segments the allowed q - p form a strip, and the distance is convex, so where the nearest places are not allowed the nearest
 * allowed ones lie on an edge of the strip.
 */
function nearestApart(
  walls: Walls,
  i: number,
  j: number,
  free: FacingPlaces,
  apartM: number,
  leastM: number,
): FacingPlaces | undefined {
  const { at } = walls.tree;
  const ringM = walls.ringsM[walls.ringOf[i]];
  if (2 * apartM > ringM) return undefined;
  const shiftM = walls.startsM[j] - walls.startsM[i];
  const wayM = shiftM + alongSegmentM(at, j, free.b) - alongSegmentM(at, i, free.a);
  if (wayM >= apartM && wayM <= ringM - apartM) return free.widthM < leastM ? free : undefined;
  return nearestAtShift(walls, i, j, (wayM < apartM ? apartM : ringM - apartM) - shiftM, leastM);
}

/** The nearest places p metres along segment i and p + shiftM metres along segment j: the least of a parabola in p. */
function nearestAtShift(
  { tree: { at }, lengthsM }: Walls,
  i: number,
  j: number,
  shiftM: number,
  leastM: number,
): FacingPlaces | undefined {
  const lowM = Math.max(0, -shiftM);
  const highM = Math.min(lengthsM[i], lengthsM[j] - shiftM);
  if (lowM > highM) return undefined;
  const [k, m] = [4 * i, 4 * j];
  const perI = lengthsM[i] === 0 ? 0 : 1 / lengthsM[i];
  const perJ = lengthsM[j] === 0 ? 0 : 1 / lengthsM[j];
  const [ex, ey] = [(at[k + 2] - at[k]) * perI, (at[k + 3] - at[k + 1]) * perI];
  const [fx, fy] = [(at[m + 2] - at[m]) * perJ, (at[m + 3] - at[m + 1]) * perJ];
  const gx = at[m] + (lowM + shiftM) * fx - at[k] - lowM * ex;
  const gy = at[m + 1] + (lowM + shiftM) * fy - at[k + 1] - lowM * ey;
  const [dx, dy] = [fx - ex, fy - ey];
  const squared = dx * dx + dy * dy;
  const pM = lowM + (squared === 0 ? 0 : Math.min(highM - lowM, Math.max(0, -(gx * dx + gy * dy) / squared)));
  const qM = pM + shiftM;
  const a = { x: at[k] + pM * ex, y: at[k + 1] + pM * ey };
  const b = { x: at[m] + qM * fx, y: at[m + 1] + qM * fy };
  const widthM = distanceM(a.x, a.y, b.x, b.y);
  return widthM < leastM ? { a, b, widthM, segmentA: i, segmentB: j } : undefined;
}

function alongSegmentM(at: Float64Array, i: number, { x, y }: PlanePoint): number {
  return distanceM(at[4 * i], at[4 * i + 1], x, y);
}

/** The nearest points of two segments that do not cross, a on segment i. */
function nearestPair(at: Float64Array, i: number, j: number): FacingPlaces {
  let best = { a: { x: 0, y: 0 }, b: { x: 0, y: 0 }, widthM: Number.POSITIVE_INFINITY, segmentA: i, segmentB: j };
  for (let turn = 0; turn < 2; turn++) {
    const [from, to] = turn === 0 ? [i, j] : [j, i];
    const [ax, ay, bx, by] = [at[4 * to], at[4 * to + 1], at[4 * to + 2], at[4 * to + 3]];
    for (let end = 4 * from; end < 4 * from + 4; end += 2) {
      const [x, y] = [at[end], at[end + 1]];
      const widthM = pointSegmentM(x, y, ax, ay, bx, by);
      if (widthM >= best.widthM) continue;
      const t = parameterOnSegment(x, y, ax, ay, bx, by);
      const foot = { x: ax + t * (bx - ax), y: ay + t * (by - ay) };
      const [a, b] = from === i ? [{ x, y }, foot] : [foot, { x, y }];
      best = { ...best, a, b, widthM };
    }
  }
  return best;
}
