import type { Ring } from '#geo-core/model/position.ts';
import type { Walls } from './facing-walls.ts';
import { distanceM } from './measure.ts';
import { boxOf } from './polygons.ts';
import { pointSegmentM } from './segment.ts';
import { someSegment } from './segment-tree.ts';

/** How far a ring is from the nearest other one, metres; infinite where there is no other. The search grows from `reachM` on. */
export function nearestOtherM(walls: Walls, rings: readonly Ring[], own: number, reachM: number): number {
  if (rings.length < 2) return Number.POSITIVE_INFINITY;
  const ring = rings[own];
  const [x, y, radiusM] = roundBox(ring);
  for (let farM = reachM; ; farM *= 2) {
    const near = segmentsAround(walls, own, x, y, radiusM + farM).toSorted((a, b) => a.fromCentreM - b.fromCentreM);
    let leastM = Number.POSITIVE_INFINITY;
    for (const { segment, fromCentreM } of near) {
      if (fromCentreM - radiusM >= leastM) break;
      leastM = Math.min(leastM, segmentToRingM(walls.tree.at, 4 * segment, ring));
    }
    if (leastM <= farM) return leastM;
  }
}

function segmentsAround({ tree, ringOf }: Walls, own: number, x: number, y: number, reachM: number) {
  const { at } = tree;
  const found: { readonly segment: number; readonly fromCentreM: number }[] = [];
  someSegment(tree, x - reachM, y - reachM, x + reachM, y + reachM, (segment) => {
    if (ringOf[segment] === own) return false;
    const k = 4 * segment;
    found.push({ segment, fromCentreM: pointSegmentM(x, y, at[k], at[k + 1], at[k + 2], at[k + 3]) });
    return false;
  });
  return found;
}

/** The middle of a ring's box and how far the ring reaches from it. */
function roundBox(ring: Ring): [number, number, number] {
  const [minX, minY, maxX, maxY] = boxOf(ring);
  const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
  let radiusM = 0;
  for (let i = 0; i < ring.length; i += 2) radiusM = Math.max(radiusM, distanceM(x, y, ring[i], ring[i + 1]));
  return [x, y, radiusM];
}

/** From a segment to a ring that does not cross it: from its start to the ring, and from the ring's corners to it (its end is the next one's start). */
function segmentToRingM(at: Float64Array, k: number, ring: Ring): number {
  const [ax, ay, bx, by] = [at[k], at[k + 1], at[k + 2], at[k + 3]];
  let least = Number.POSITIVE_INFINITY;
  let px = ring[ring.length - 2];
  let py = ring[ring.length - 1];
  for (let i = 0; i < ring.length; i += 2) {
    const qx = ring[i];
    const qy = ring[i + 1];
    least = Math.min(least, squaredToSegment(qx, qy, ax, ay, bx, by), squaredToSegment(ax, ay, px, py, qx, qy));
    px = qx;
    py = qy;
  }
  return Math.sqrt(least);
}

function squaredToSegment(x: number, y: number, ax: number, ay: number, bx: number, by: number): number {
  const ex = bx - ax;
  const ey = by - ay;
  const squared = ex * ex + ey * ey;
  const along = (x - ax) * ex + (y - ay) * ey;
  const t = along <= 0 ? 0 : along >= squared ? 1 : along / squared;
  const dx = x - ax - t * ex;
  const dy = y - ay - t * ey;
  return dx * dx + dy * dy;
}
