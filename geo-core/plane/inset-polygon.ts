import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { capsuleRing, insetContour } from './inset-contour.ts';
import { kernel } from './kernel.ts';
import { pointInPolygon, polygonsFromRings } from './polygons.ts';
import { segmentSegmentM } from './segment.ts';

/** A ring and the distance of each of its edges (offsetsM[i] from vertex i to i + 1), metres. */
export type OffsetRing = { readonly ring: Ring; readonly offsetsM: ArrayLike<number> };

/** How far left of its middle an edge is asked which ground it bounds, metres. */
const BESIDE_M = 0.000_5;

/**
 * The ground of a polygon (outer ring and holes) that keeps its own distance from every edge, measured inside the polygon.
 *
 * One sweep over the raw contours settles all that an edge and its neighbours decide. A larger distance may also reach past
 * a short neighbour over ground that another edge bounds; such an edge takes its whole capsule, as far as the capsule's
 * ground hangs together with the edge inside the polygon, so that nothing is pushed away through ground that is not there.
 */
export function insetPolygon(rings: readonly OffsetRing[], join: ReflexJoin, gridM: number): Polygon[] {
  const contours = rings
    .map(({ ring, offsetsM }) => insetContour(ring, offsetsM, join))
    .filter((contour) => contour !== undefined);
  const inset = kernel().positiveUnion(contours, gridM);
  const reaching = inset.length === 0 ? [] : reachingEdges(rings);
  if (reaching.length === 0) return polygonsFromRings(inset);
  const outline = rings.map(({ ring }) => ring);
  const taken = reaching.flatMap((edge) => capsuleGround(edge, outline, gridM));
  return polygonsFromRings(kernel().difference(inset, taken, gridM));
}

type Edge = {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly offsetM: number;
};

/** Edges whose distance reaches past another edge, not their neighbour, that asks for less. */
function reachingEdges(rings: readonly OffsetRing[]): Edge[] {
  const offsetsM = Float64Array.from(rings.flatMap((ring) => Array.from(ring.offsetsM)));
  const leastM = offsetsM.reduce((least, offsetM) => Math.min(least, offsetM), Number.POSITIVE_INFINITY);
  if (offsetsM.every((offsetM) => offsetM === leastM)) return [];
  const at = ringSegments(rings.map(({ ring }) => ring));
  const index = segmentIndex(at);
  const found: Edge[] = [];
  for (let i = 0; index !== undefined && i < offsetsM.length; i++) {
    const reachM = offsetsM[i] - leastM;
    const [ax, ay, bx, by] = [at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]];
    if (reachM === 0 || (ax === bx && ay === by)) continue;
    const [minX, minY] = [Math.min(ax, bx) - reachM, Math.min(ay, by) - reachM];
    const [maxX, maxY] = [Math.max(ax, bx) + reachM, Math.max(ay, by) + reachM];
    const reaches = index.collides(minX, minY, maxX, maxY, (j) => {
      const beyondM = offsetsM[i] - offsetsM[j];
      if (beyondM <= 0) return false;
      const [cx, cy, dx, dy] = [at[4 * j], at[4 * j + 1], at[4 * j + 2], at[4 * j + 3]];
      const isNeighbour = (cx === bx && cy === by) || (dx === ax && dy === ay);
      return !isNeighbour && segmentSegmentM(ax, ay, bx, by, cx, cy, dx, dy) < beyondM;
    });
    if (reaches) found.push({ ax, ay, bx, by, offsetM: offsetsM[i] });
  }
  return found;
}

/** The ground within an edge's distance that hangs together with the edge inside the outline. */
function capsuleGround({ ax, ay, bx, by, offsetM }: Edge, outline: readonly Ring[], gridM: number): Ring[] {
  const length = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
  const aside = Math.min(BESIDE_M, length / 4) / length;
  const [x, y] = [(ax + bx) / 2 - (by - ay) * aside, (ay + by) / 2 + (bx - ax) * aside];
  const ground = polygonsFromRings(kernel().intersection(outline, [capsuleRing(ax, ay, bx, by, offsetM)], gridM));
  return ground.filter((polygon) => pointInPolygon(polygon, x, y)).flatMap(({ outer, holes }) => [outer, ...holes]);
}
