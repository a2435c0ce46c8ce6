import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { distanceM } from './measure.ts';
import { type Nearest, nearestBetween, type Segment } from './nearest-between.ts';
import { pointInPolygon, ringsOf } from './polygons.ts';

/** The nearest points of two sets of polygons that do not overlap. Undefined where one of them is empty. Metres. */
export function polygonsApart(one: readonly Polygon[], two: readonly Polygon[]): Nearest | undefined {
  const from = ringSegments(ringsOf(one));
  const to = ringSegments(ringsOf(two));
  const index = segmentIndex(to);
  if (index === undefined || from.length === 0) return undefined;
  let best = nearestBetween(segmentAt(from, 0), segmentAt(to, 0));
  for (let i = 0; i < from.length / 4; i++) {
    const segment = segmentAt(from, i);
    const reachM = best.distanceM;
    const [minX, maxX] = [Math.min(segment.ax, segment.bx) - reachM, Math.max(segment.ax, segment.bx) + reachM];
    const [minY, maxY] = [Math.min(segment.ay, segment.by) - reachM, Math.max(segment.ay, segment.by) + reachM];
    index.search(minX, minY, maxX, maxY, (j) => {
      const nearest = nearestBetween(segment, segmentAt(to, j));
      if (nearest.distanceM < best.distanceM) best = nearest;
      return false;
    });
  }
  return best;
}

/** Distance from a point to polygons; 0 inside. Infinite for no polygons. */
export function pointToPolygonsM(at: PlanePoint, polygons: readonly Polygon[]): number {
  if (polygons.some((polygon) => pointInPolygon(polygon, at.x, at.y))) return 0;
  const segments = ringSegments(ringsOf(polygons));
  const point = { ax: at.x, ay: at.y, bx: at.x, by: at.y };
  let bestM = Number.POSITIVE_INFINITY;
  for (let i = 0; i < segments.length / 4; i++) {
    const { ax, ay, bx, by } = nearestBetween(point, segmentAt(segments, i));
    bestM = Math.min(bestM, distanceM(ax, ay, bx, by));
  }
  return bestM;
}

function segmentAt(segments: Float64Array, i: number): Segment {
  return { ax: segments[4 * i], ay: segments[4 * i + 1], bx: segments[4 * i + 2], by: segments[4 * i + 3] };
}
