import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { segmentIndex } from './box-index.ts';
import { distanceM } from './measure.ts';
import { pointInPolygon, ringsOf } from './polygons.ts';

/** Length of a line inside polygons that do not overlap, metres; stretches along their edge may count or not. */
export function lengthInsideM(line: Polyline, polygons: readonly Polygon[]): number {
  const edges = Float64Array.from(ringsOf(polygons).flatMap((ring) => ringEdges(ring)));
  const index = segmentIndex(edges);
  if (index === undefined) return 0;
  let inside = 0;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const near = index.search(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
    const cuts = [0, ...near.flatMap((edge) => cutAt(ax, ay, bx, by, edges, edge * 4)), 1].toSorted((s, t) => s - t);
    for (let k = 0; k + 1 < cuts.length; k++) {
      const middle = (cuts[k] + cuts[k + 1]) / 2;
      const [x, y] = [ax + middle * (bx - ax), ay + middle * (by - ay)];
      if (polygons.some((polygon) => pointInPolygon(polygon, x, y))) {
        inside += (cuts[k + 1] - cuts[k]) * distanceM(ax, ay, bx, by);
      }
    }
  }
  return inside;
}

/** Where (0 to 1) the segment a-b crosses an edge; nothing where it does not or runs along it. */
function cutAt(ax: number, ay: number, bx: number, by: number, edges: Float64Array, at: number): number[] {
  const [cx, cy] = [edges[at], edges[at + 1]];
  const [ex, ey] = [edges[at + 2] - cx, edges[at + 3] - cy];
  const [lx, ly] = [bx - ax, by - ay];
  const turn = lx * ey - ly * ex;
  if (turn === 0) return [];
  const t = ((cx - ax) * ey - (cy - ay) * ex) / turn;
  return t > 0 && t < 1 ? [t] : [];
}

function ringEdges(ring: Float64Array): number[] {
  const edges: number[] = [];
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    edges.push(ring[j], ring[j + 1], ring[i], ring[i + 1]);
  }
  return edges;
}
