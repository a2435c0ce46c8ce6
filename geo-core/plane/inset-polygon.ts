import type Flatbush from 'flatbush';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { capsuleRing, insetContour } from './inset-contour.ts';
import { kernel } from './kernel.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from './polygons.ts';
import { cross, pointSegmentM, segmentSegmentM } from './segment.ts';

/** A ring and the distance of each of its edges (offsetsM[i] from vertex i to i + 1), metres. */
export type OffsetRing = { readonly ring: Ring; readonly offsetsM: ArrayLike<number> };

/** How far left of its middle an edge is asked which ground it bounds, metres. */
const BESIDE_M = 0.000_5;
/** A point this near a rim lies on it: rounding to the grid, metres. */
const ON_RIM_M = 0.000_02;

/**
 * The ground of a polygon (outer ring and holes) that keeps its own distance from every edge, measured inside the polygon.
 *
 * One sweep over the raw contours settles all that an edge and its neighbours decide. Two kinds of edges need more: one whose
 * distance reaches past a short neighbour over ground that another edge bounds, and one whose distance is more than the
 * whole ground before it, so that its band would come out on the far side. Those take their whole capsule, as far as its
 * ground hangs together with the edge inside the polygon: nothing is pushed away through ground that is not there.
 */
export function insetPolygon(rings: readonly OffsetRing[], join: ReflexJoin, gridM: number): Polygon[] {
  const edges = edgesOf(rings);
  const reaching = edges.list.filter((edge, i) => edge.offsetM > 0 && reachesPast(edges, i));
  // A band of the least distance may come out on the far side: the edge that bounds that ground takes as much anyway.
  const crowded = new Set(edges.list.filter((edge, i) => edge.offsetM > edges.leastM && isCrowded(edges, i)));
  let first = 0;
  const contours = rings.map(({ ring, offsetsM }) => {
    const own = edges.list.slice(first, first + ring.length / 2);
    first += ring.length / 2;
    const free = crowded.size === 0 ? offsetsM : own.map((edge) => (crowded.has(edge) ? 0 : edge.offsetM));
    return insetContour(ring, free, join);
  });
  const inset = kernel().positiveUnion(
    contours.filter((contour) => contour !== undefined),
    gridM,
  );
  const special = [...new Set([...reaching, ...crowded])];
  if (inset.length === 0 || special.length === 0) return polygonsFromRings(inset);
  const outline = rings.map(({ ring }) => ring);
  const taken = special.flatMap((edge) => capsuleGround(edge, outline, gridM));
  return polygonsFromRings(kernel().difference(inset, taken, gridM));
}

type Edge = {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly offsetM: number;
};
type Edges = { readonly list: readonly Edge[]; readonly index: Flatbush | undefined; readonly leastM: number };

function edgesOf(rings: readonly OffsetRing[]): Edges {
  const at = ringSegments(rings.map(({ ring }) => ring));
  const list = rings
    .flatMap(({ offsetsM }) => Array.from(offsetsM))
    .map((offsetM, i) => ({ ax: at[4 * i], ay: at[4 * i + 1], bx: at[4 * i + 2], by: at[4 * i + 3], offsetM }));
  const leastM = list.reduce((least, { offsetM }) => Math.min(least, offsetM), Number.POSITIVE_INFINITY);
  return { list, index: segmentIndex(at), leastM };
}

/** Whether an edge's distance reaches past another edge, not its neighbour, that asks for less. */
function reachesPast(edges: Edges, i: number): boolean {
  const edge = edges.list[i];
  return anyNear(
    edges,
    i,
    edge.offsetM - edges.leastM,
    (other) => edge.offsetM > other.offsetM,
    (other, betweenM) => betweenM < edge.offsetM - other.offsetM,
  );
}

/** Whether another edge faces this one across less ground than its distance. */
function isCrowded(edges: Edges, i: number): boolean {
  const { ax, ay, bx, by, offsetM } = edges.list[i];
  const [ex, ey] = [bx - ax, by - ay];
  const faces = ({ ax: cx, ay: cy, bx: dx, by: dy }: Edge) => {
    const runsBack = ex * (dx - cx) + ey * (dy - cy) < 0;
    const isLeft = cross(ax, ay, bx, by, cx, cy) > 0 || cross(ax, ay, bx, by, dx, dy) > 0;
    return runsBack && isLeft && (cross(cx, cy, dx, dy, ax, ay) > 0 || cross(cx, cy, dx, dy, bx, by) > 0);
  };
  return anyNear(edges, i, offsetM, faces, (_, betweenM) => betweenM < offsetM);
}

/** Whether any edge that shares no end with edge i and is of the kind asked for lies near enough. */
function anyNear(
  { list, index }: Edges,
  i: number,
  reachM: number,
  isMeant: (other: Edge) => boolean,
  isNear: (other: Edge, betweenM: number) => boolean,
): boolean {
  const { ax, ay, bx, by } = list[i];
  if (index === undefined || reachM <= 0 || (ax === bx && ay === by)) return false;
  const [minX, minY] = [Math.min(ax, bx) - reachM, Math.min(ay, by) - reachM];
  const [maxX, maxY] = [Math.max(ax, bx) + reachM, Math.max(ay, by) + reachM];
  return index.collides(minX, minY, maxX, maxY, (j) => {
    const other = list[j];
    const isNeighbour = (other.ax === bx && other.ay === by) || (other.bx === ax && other.by === ay);
    if (j === i || isNeighbour || !isMeant(other)) return false;
    return isNear(other, segmentSegmentM(ax, ay, bx, by, other.ax, other.ay, other.bx, other.by));
  });
}

/** The ground within an edge's distance that hangs together with the edge inside the outline. */
function capsuleGround({ ax, ay, bx, by, offsetM }: Edge, outline: readonly Ring[], gridM: number): Ring[] {
  const length = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
  const aside = Math.min(BESIDE_M, length / 4) / length;
  const [x, y] = [(ax + bx) / 2 - (by - ay) * aside, (ay + by) / 2 + (bx - ax) * aside];
  const ground = polygonsFromRings(kernel().intersection(outline, [capsuleRing(ax, ay, bx, by, offsetM)], gridM));
  const holding = ground.filter((polygon) => pointInPolygon(polygon, x, y));
  // Ground thinner than the step beside the edge: whatever the edge's middle lies on the rim of.
  const own =
    holding.length > 0 ? holding : ground.filter((polygon) => hasOnRim(polygon, (ax + bx) / 2, (ay + by) / 2));
  return ringsOf(own);
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
