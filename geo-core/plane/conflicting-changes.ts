import { ringSegments } from './box-index.ts';
import { faceEachOther } from './face-each-other.ts';
import type { ChangedRing } from './ring-change.ts';
import { cross, pointSegmentM, segmentSegmentM } from './segment.ts';
import { type SegmentTree, segmentTree, someSegment } from './segment-tree.ts';

/** Wires nearer than this touch, metres. */
const TOUCH_M = 1e-6;
/** Two places of one wire are a corner where the way along it is longer than the straight way by no more than this many gaps. */
const CORNER_GAPS = 1.1;
/** The gap is kept up to this, metres: what is taken for too narrow keeps it no better. */
const SLACK_M = 0.000_5;
/** Steps of the search for the places of two edges that break the gap most. */
const MOST_STEPS = 32;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** All edges of some rings: ends, ring, length, and how far along the ring each begins; how long each ring is; which changed. */
type Edges = {
  readonly tree: SegmentTree;
  readonly lengthM: Float64Array;
  readonly ringOf: Int32Array;
  readonly alongM: Float64Array;
  readonly isChanged: Uint8Array;
  readonly ringM: readonly number[];
  readonly firstOf: readonly number[];
};

/**
 * Of each ring the changes that must not be: where a changed edge crosses or touches another edge of any ring, or comes nearer
 * to one that faces it over the ground (on both their lefts) than gapM, the corners of one wire aside.
 */
export function conflictingChanges(rings: readonly ChangedRing[], gapM: number): ReadonlySet<number>[] {
  const edges = edgesOf(rings);
  const { tree, ringOf, isChanged, firstOf } = edges;
  const { at } = tree;
  const conflicts = rings.map(() => new Set<number>());
  const blame = (edge: number): void => {
    const { from, across } = rings[ringOf[edge]];
    const i = edge - firstOf[ringOf[edge]];
    for (const change of [from[i], across[i], from[i + 1 === from.length ? 0 : i + 1]])
      if (change >= 0) conflicts[ringOf[edge]].add(change);
  };
  const reachM = Math.max(gapM, TOUCH_M);
  for (let i = 0; i < tree.count; i++) {
    if (isChanged[i] === 0) continue;
    const minX = Math.min(at[4 * i], at[4 * i + 2]) - reachM;
    const maxX = Math.max(at[4 * i], at[4 * i + 2]) + reachM;
    const minY = Math.min(at[4 * i + 1], at[4 * i + 3]) - reachM;
    const maxY = Math.max(at[4 * i + 1], at[4 * i + 3]) + reachM;
    someSegment(tree, minX, minY, maxX, maxY, (j) => {
      if (j === i || (j < i && isChanged[j] === 1)) return false;
      if (isTouching(edges, i, j) || isTooNear(edges, Math.min(i, j), Math.max(i, j), gapM)) {
        blame(i);
        blame(j);
      }
      return false;
    });
  }
  return conflicts;
}

function edgesOf(rings: readonly ChangedRing[]): Edges {
  const tree = segmentTree(ringSegments(rings.map(({ ring }) => ring)));
  const { at, count } = tree;
  const [lengthM, alongM] = [new Float64Array(count), new Float64Array(count)];
  const [ringOf, isChanged] = [new Int32Array(count), new Uint8Array(count)];
  const [ringM, firstOf]: [number[], number[]] = [[], []];
  let i = 0;
  rings.forEach(({ from, isNew }, r) => {
    let wayM = 0;
    firstOf.push(i);
    for (let k = 0; k < from.length; k++, i++) {
      const [dx, dy] = [at[4 * i + 2] - at[4 * i], at[4 * i + 3] - at[4 * i + 1]];
      lengthM[i] = Math.sqrt(dx * dx + dy * dy);
      ringOf[i] = r;
      alongM[i] = wayM;
      isChanged[i] = isNew[k];
      wayM += lengthM[i];
    }
    ringM.push(wayM);
  });
  return { tree, lengthM, ringOf, alongM, isChanged, ringM, firstOf };
}

/** Whether two edges touch that do not follow each other. */
function isTouching({ tree: { at }, ringOf, firstOf, lengthM }: Edges, i: number, j: number): boolean {
  const [a, b] = [4 * i, 4 * j];
  if (Math.min(at[a], at[a + 2]) > Math.max(at[b], at[b + 2]) + TOUCH_M) return false;
  if (Math.min(at[b], at[b + 2]) > Math.max(at[a], at[a + 2]) + TOUCH_M) return false;
  if (Math.min(at[a + 1], at[a + 3]) > Math.max(at[b + 1], at[b + 3]) + TOUCH_M) return false;
  if (Math.min(at[b + 1], at[b + 3]) > Math.max(at[a + 1], at[a + 3]) + TOUCH_M) return false;
  if (ringOf[i] === ringOf[j]) {
    const count = (firstOf[ringOf[i] + 1] ?? lengthM.length) - firstOf[ringOf[i]];
    const apart = Math.abs(i - j);
    if (apart === 1 || apart === count - 1) return false;
  }
  return apartM(at, i, j) < TOUCH_M;
}

/** Whether two edges, i before j, face each other nearer than the gap in places that are no corner of one wire. */
function isTooNear(edges: Edges, i: number, j: number, gapM: number): boolean {
  const { tree, ringOf, alongM, lengthM, ringM } = edges;
  const { at } = tree;
  const isOneWire = ringOf[i] === ringOf[j];
  const detourM = CORNER_GAPS * gapM;
  const startsM = alongM[j] - alongM[i];
  const roundM = ringM[ringOf[i]];
  if (isOneWire && (startsM + lengthM[j] < detourM || roundM - startsM + lengthM[i] < detourM)) return false;
  if (!liesLeft(at, i, j) || !liesLeft(at, j, i) || apartM(at, i, j) >= gapM - SLACK_M) return false;
  if (isOneWire && !isNoCorner(edges, i, j, gapM - SLACK_M, detourM)) return false;
  return faceEachOther(tree, i, j, gapM);
}

function apartM(at: Float64Array, i: number, j: number): number {
  const [a, b] = [4 * i, 4 * j];
  return segmentSegmentM(at[a], at[a + 1], at[a + 2], at[a + 3], at[b], at[b + 1], at[b + 2], at[b + 3]);
}

/** Whether any of edge j lies left of edge i. */
function liesLeft(at: Float64Array, i: number, j: number): boolean {
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  return cross(ax, ay, bx, by, at[4 * j], at[4 * j + 1]) > 0 || cross(ax, ay, bx, by, at[4 * j + 2], at[4 * j + 3]) > 0;
}

/**
 * Whether two edges of one wire have places nearer than limitM to each other between which the wire, either way round, is longer
 * than the straight way by more than detourM. For every way along the wire the nearest places are those of a parabola; how far
 * they are from breaking the rule is convex in the way, so a golden section finds where they come nearest to it.
 */
function isNoCorner(edges: Edges, i: number, j: number, limitM: number, detourM: number): boolean {
  const { tree, ringOf, alongM, lengthM, ringM } = edges;
  const startsM = alongM[j] - alongM[i];
  const shortM = (shiftM: number): number => {
    const wayM = Math.min(startsM + shiftM, ringM[ringOf[i]] - startsM - shiftM);
    return nearestAtShiftM(tree.at, lengthM, i, j, shiftM) - Math.min(limitM, wayM - detourM);
  };
  let [lowM, highM] = [-lengthM[i], lengthM[j]];
  let [leftM, rightM] = [highM - GOLDEN * (highM - lowM), lowM + GOLDEN * (highM - lowM)];
  let [left, right] = [shortM(leftM), shortM(rightM)];
  for (let step = 0; step < MOST_STEPS; step++) {
    if (left < 0 || right < 0) return true;
    if (left < right) {
      [highM, rightM, right] = [rightM, leftM, left];
      leftM = highM - GOLDEN * (highM - lowM);
      left = shortM(leftM);
    } else {
      [lowM, leftM, left] = [leftM, rightM, right];
      rightM = lowM + GOLDEN * (highM - lowM);
      right = shortM(rightM);
    }
  }
  return false;
}

/** The least distance between the places s metres along edge i and s + shiftM along edge j. */
function nearestAtShiftM(at: Float64Array, lengthM: Float64Array, i: number, j: number, shiftM: number): number {
  const [fromM, toM] = [Math.max(0, -shiftM), Math.min(lengthM[i], lengthM[j] - shiftM)];
  const [gx, gy] = gapBetween(at, i, fromM / lengthM[i], j, (fromM + shiftM) / lengthM[j]);
  const [hx, hy] = gapBetween(at, i, toM / lengthM[i], j, (toM + shiftM) / lengthM[j]);
  return pointSegmentM(0, 0, gx, gy, hx, hy);
}

/** From the place at share p of edge i to the one at share q of edge j. */
function gapBetween(at: Float64Array, i: number, p: number, j: number, q: number): readonly [number, number] {
  const [a, b] = [4 * i, 4 * j];
  return [
    at[b] + q * (at[b + 2] - at[b]) - at[a] - p * (at[a + 2] - at[a]),
    at[b + 1] + q * (at[b + 3] - at[b + 1]) - at[a + 1] - p * (at[a + 3] - at[a + 1]),
  ];
}
