import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { ringSegments } from './box-index.ts';
import { capsuleRing, endCapRing, insetContour } from './inset-contour.ts';
import { kernel } from './kernel.ts';
import { type Box, ringNearBox } from './near-box.ts';
import { pointInPolygon, polygonsFromRings, reversedRing, ringsOf } from './polygons.ts';
import { cross, pointSegmentM, segmentSegmentM } from './segment.ts';
import { type SegmentTree, segmentTree, someSegment } from './segment-tree.ts';

/** A ring and the distance of each of its edges (offsetsM[i] from vertex i to i + 1), metres. */
export type OffsetRing = { readonly ring: Ring; readonly offsetsM: ArrayLike<number> };

/** How far left of its middle an edge is asked which ground it bounds, metres. */
const BESIDE_M = 0.000_5;
/** A point this near a rim lies on it: rounding to the grid, metres. */
const ON_RIM_M = 0.000_02;

/**
 * The ground of a polygon (outer ring and holes) that keeps its own distance from every edge, measured inside the polygon:
 * one sweep over the raw contours and over what two kinds of edges need besides.
 *
 * A larger distance may reach past a short neighbour over ground that another edge bounds: that edge takes its whole capsule.
 * And a distance may be more than the whole ground before the edge, so that its band would come out on the far side and push
 * away lawn that owes the edge nothing: that edge takes, instead of its band, the ground of its capsule that hangs together
 * with it inside the polygon. Where one stretch of outline is all there is in the capsule, all its ground hangs together.
 * With one distance for all edges neither happens: a band that comes out takes no more than the edges there take themselves.
 */
export function insetPolygon(rings: readonly OffsetRing[], join: ReflexJoin, gridM: number): Polygon[] {
  if (haveOneDistance(rings))
    return sweep(
      rings.map(({ ring, offsetsM }) => insetContour(ring, offsetsM, join)),
      gridM,
    );
  const edges = edgesOf(rings);
  const taken: Ring[] = [];
  const free = edges.offsetsM.slice();
  const tree = segmentTree(edges.at);
  for (let i = 0; i < free.length; i++) {
    if (free[i] > edges.leastM && edges.lengthsM[i] > 0) takeBesides(edges, i, tree, rings, gridM, free, taken);
  }
  let first = 0;
  const contours = rings.map(({ ring }) => {
    const own = free.subarray(first, first + ring.length / 2);
    first += ring.length / 2;
    return insetContour(ring, own, join);
  });
  return sweep([...contours, ...taken], gridM);
}

function sweep(contours: readonly (Ring | undefined)[], gridM: number): Polygon[] {
  return polygonsFromRings(
    kernel().positiveUnion(
      contours.filter((contour) => contour !== undefined),
      gridM,
    ),
  );
}

function haveOneDistance(rings: readonly OffsetRing[]): boolean {
  const distanceM = rings[0]?.offsetsM[0];
  return rings.every(({ offsetsM }) => {
    for (let i = 0; i < offsetsM.length; i++) if (offsetsM[i] !== distanceM) return false;
    return true;
  });
}

/** All edges of all rings, in order: ends, lengths, distances, and where the ring of each begins and ends in the list. */
type Edges = {
  readonly at: Float64Array;
  readonly lengthsM: Float64Array;
  readonly offsetsM: Float64Array;
  readonly ringOf: Int32Array;
  readonly firstOf: readonly number[];
  readonly leastM: number;
};

function edgesOf(rings: readonly OffsetRing[]): Edges {
  const at = ringSegments(rings.map(({ ring }) => ring));
  const count = at.length / 4;
  const [lengthsM, offsetsM, ringOf] = [new Float64Array(count), new Float64Array(count), new Int32Array(count)];
  const firstOf: number[] = [];
  let leastM = Number.POSITIVE_INFINITY;
  let i = 0;
  rings.forEach((each, r) => {
    firstOf.push(i);
    for (let k = 0; k < each.ring.length / 2; k++, i++) {
      const [dx, dy] = [at[4 * i + 2] - at[4 * i], at[4 * i + 3] - at[4 * i + 1]];
      lengthsM[i] = Math.sqrt(dx * dx + dy * dy);
      offsetsM[i] = each.offsetsM[k];
      ringOf[i] = r;
      leastM = Math.min(leastM, offsetsM[i]);
    }
  });
  firstOf.push(i);
  return { at, lengthsM, offsetsM, ringOf, firstOf, leastM };
}

/**
 * Adds to `taken` (clockwise) what edge i takes besides its band, and drops its band where that would come out on the far side.
 * Only an end whose neighbour keeps a smaller distance can reach: else all that is near the end is near the neighbour too.
 */
function takeBesides(
  edges: Edges,
  i: number,
  tree: SegmentTree,
  rings: readonly OffsetRing[],
  gridM: number,
  free: Float64Array,
  taken: Ring[],
): void {
  const { at, offsetsM } = edges;
  const near = edgesWithin(edges, i, tree);
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  const reachesBack = offsetsM[neighbour(edges, i, -1)] < offsetsM[i];
  const reachesOn = offsetsM[neighbour(edges, i, 1)] < offsetsM[i];
  const reaches = (reachesBack || reachesOn) && reachesPast(edges, i, near);
  const mayComeOut = comesOut(edges, i, near);
  if (!reaches && !mayComeOut) return;
  const isOneStretch = formOneStretch(edges, i, near);
  const isCrowded = !isOneStretch && mayComeOut;
  if (!reaches && !isCrowded) return;
  if (isOneStretch) {
    if (reachesBack) taken.push(endCapRing(bx, by, ax, ay, offsetsM[i]));
    if (reachesOn) taken.push(endCapRing(ax, ay, bx, by, offsetsM[i]));
    return;
  }
  const capsule = capsuleRing(ax, ay, bx, by, offsetsM[i]);
  const holes = new Set(near.map(({ edge }) => edges.ringOf[edge]));
  const outline = rings.filter((_, r) => r === 0 || holes.has(r)).map(({ ring }) => ring);
  for (const ring of connectedGround(edges, i, outline, capsule, gridM)) taken.push(reversedRing(ring));
  if (isCrowded) free[i] = 0;
}

/** Whether a smaller distance is kept by an edge, not a neighbour, that the larger one reaches past. */
function reachesPast(edges: Edges, i: number, near: readonly Near[]): boolean {
  const { offsetsM } = edges;
  const [before, after] = [neighbour(edges, i, -1), neighbour(edges, i, 1)];
  return near.some(({ edge, apartM }) => edge !== before && edge !== after && apartM < offsetsM[i] - offsetsM[edge]);
}

/** The edge before (-1) or after (1) on the same ring. */
function neighbour({ ringOf, firstOf }: Edges, i: number, step: -1 | 1): number {
  const [first, end] = [firstOf[ringOf[i]], firstOf[ringOf[i] + 1]];
  const j = i + step;
  return j < first ? end - 1 : j === end ? first : j;
}

type Near = { readonly edge: number; readonly apartM: number };

/** The other edges nearer to edge i than its distance. */
function edgesWithin({ at, offsetsM }: Edges, i: number, tree: SegmentTree): Near[] {
  const reachM = offsetsM[i];
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  const found: Near[] = [];
  const [minX, minY] = [Math.min(ax, bx) - reachM, Math.min(ay, by) - reachM];
  someSegment(tree, minX, minY, Math.max(ax, bx) + reachM, Math.max(ay, by) + reachM, (edge) => {
    if (edge === i) return false;
    const apartM = segmentSegmentM(ax, ay, bx, by, at[4 * edge], at[4 * edge + 1], at[4 * edge + 2], at[4 * edge + 3]);
    if (apartM < reachM) found.push({ edge, apartM });
    return false;
  });
  return found;
}

/** Whether edge i and those near it are one unbroken stretch of one ring. */
function formOneStretch({ ringOf, firstOf }: Edges, i: number, near: readonly Near[]): boolean {
  const ring = ringOf[i];
  if (near.some(({ edge }) => ringOf[edge] !== ring)) return false;
  const count = firstOf[ring + 1] - firstOf[ring];
  const among = new Set(near.map(({ edge }) => edge - firstOf[ring]));
  among.add(i - firstOf[ring]);
  let starts = 0;
  for (const edge of among) if (!among.has((edge + count - 1) % count)) starts++;
  return starts <= 1;
}

/** Whether the band of edge i crosses an edge that faces it, with lawn of another edge behind that. */
function comesOut({ at }: Edges, i: number, near: readonly Near[]): boolean {
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  let [faces, lawnBehind] = [false, false];
  for (const { edge } of near) {
    const [cx, cy, dx, dy] = [at[4 * edge], at[4 * edge + 1], at[4 * edge + 2], at[4 * edge + 3]];
    if (cross(ax, ay, bx, by, cx, cy) <= 0 && cross(ax, ay, bx, by, dx, dy) <= 0) continue;
    const runsBack = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) < 0;
    if (!runsBack) lawnBehind = true;
    else if (cross(cx, cy, dx, dy, ax, ay) > 0 || cross(cx, cy, dx, dy, bx, by) > 0) faces = true;
  }
  return faces && lawnBehind;
}

/** The ground of a capsule that hangs together with edge i inside the outline. */
function connectedGround(
  { at, lengthsM, offsetsM }: Edges,
  i: number,
  outline: readonly Ring[],
  capsule: Ring,
  gridM: number,
): Ring[] {
  const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
  const aside = Math.min(BESIDE_M, lengthsM[i] / 4) / lengthsM[i];
  const [x, y] = [(ax + bx) / 2 - (by - ay) * aside, (ay + by) / 2 + (bx - ax) * aside];
  const reachM = offsetsM[i] + BESIDE_M;
  const box: Box = [
    Math.min(ax, bx) - reachM,
    Math.min(ay, by) - reachM,
    Math.max(ax, bx) + reachM,
    Math.max(ay, by) + reachM,
  ];
  const near = outline.map((ring) => ringNearBox(ring, box)).filter((ring) => ring.length > 0);
  const ground = polygonsFromRings(kernel().intersection(near, [capsule], gridM));
  const holding = ground.filter((polygon) => pointInPolygon(polygon, x, y));
  // Ground thinner than the step beside the edge: whatever the edge's middle lies on the rim of.
  const isOnRim = (polygon: Polygon) => hasOnRim(polygon, (ax + bx) / 2, (ay + by) / 2);
  return ringsOf(holding.length > 0 ? holding : ground.filter(isOnRim));
}

function hasOnRim(polygon: Polygon, x: number, y: number): boolean {
  return ringsOf([polygon]).some((ring) => {
    for (let i = 0; i < ring.length; i += 2) {
      const next = (i + 2) % ring.length;
      if (pointSegmentM(x, y, ring[i], ring[i + 1], ring[next], ring[next + 1]) < ON_RIM_M) return true;
    }
    return false;
  });
}
