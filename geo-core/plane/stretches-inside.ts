import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { ringSegments, segmentIndex } from './box-index.ts';
import { pointInPolygon, ringsOf } from './polygons.ts';

/** A stretch of a line between two chainages, metres. */
export type Stretch = { readonly fromM: number; readonly toM: number };

/**
 * The stretches of a line inside polygons that do not overlap, ascending, those that meet joined. `chainageM[i]` is that of vertex i;
 * stretches along an edge of a polygon may count or not.
 */
export function stretchesInside(line: Polyline, chainageM: Float64Array, polygons: readonly Polygon[]): Stretch[] {
  const edges = ringSegments(ringsOf(polygons));
  const index = segmentIndex(edges);
  if (index === undefined) return [];
  const found: { fromM: number; toM: number }[] = [];
  let isInside: boolean | undefined;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const near = index.search(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
    const cuts = [0, ...near.flatMap((edge) => cutAt(ax, ay, bx, by, edges, edge * 4)), 1].toSorted((s, t) => s - t);
    const [startM, endM] = [chainageM[i / 2], chainageM[i / 2 + 1]];
    for (let k = 0; k + 1 < cuts.length; k++) {
      if (cuts[k] === cuts[k + 1]) continue;
      // Where no edge is near, nothing changes.
      if (isInside === undefined || near.length > 0) {
        const middle = (cuts[k] + cuts[k + 1]) / 2;
        const [x, y] = [ax + middle * (bx - ax), ay + middle * (by - ay)];
        isInside = polygons.some((polygon) => pointInPolygon(polygon, x, y));
      }
      if (!isInside) continue;
      const fromM = startM + cuts[k] * (endM - startM);
      const toM = cuts[k + 1] === 1 ? endM : startM + cuts[k + 1] * (endM - startM);
      const last = found[found.length - 1];
      if (last !== undefined && last.toM === fromM) last.toM = toM;
      else found.push({ fromM, toM });
    }
  }
  return found;
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
