import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { segmentsCross } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { type Segments, segmentsNear, windingAt } from './segments.ts';
import { worstCase } from './worst-case.ts';

/** Sight ends this far short of the edge that it looks at. */
const SHORT_OF_M = 5e-5;
/** A hidden pair is looked at again from this many places along the wire. */
const LOOKS = 8;

/**
 * Every boundary and keep-out wire keeps the offset of every lawn edge, measured inside the ground: an edge that the wire
 * cannot see in a straight line over the ground (behind a wall, on another lawn) does not count. Leads are free.
 * Worst is the largest shortfall, metres.
 */
export function checkOffsetKept({ wires, lawnEdges, ground, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('offset-kept', 'm', roundingM);
  const reachM = lawnEdges.offsetM.reduce((most, each) => Math.max(most, each), 0);
  for (let i = 0; i < wires.count; i++) {
    if (wires.of[i] === 'lead') continue;
    for (const k of segmentsNear(lawnEdges, wires, i, reachM)) {
      const offsetM = lawnEdges.offsetM[k];
      const nearest = nearestPlaces(wires, i, lawnEdges, k);
      if (nearest.distanceM >= offsetM) continue;
      const seen =
        offsetM - nearest.distanceM > roundingM ? nearestSeen(wires, i, lawnEdges, k, ground, nearest) : nearest;
      if (seen) worst.see(offsetM - seen.distanceM, { x: seen.px, y: seen.py });
    }
  }
  return worst.check();
}

/** The nearest pair of places with nothing between; only from a few places along the wire where the nearest of all is hidden. */
function nearestSeen(
  wires: Segments,
  i: number,
  edges: Segments,
  k: number,
  ground: Segments,
  nearest: NearestPlaces,
): NearestPlaces | undefined {
  if (isSeen(nearest, ground)) return nearest;
  let best: NearestPlaces | undefined;
  for (let look = 0; look <= LOOKS; look++) {
    const s = look / LOOKS;
    const from = placesAt(wires, i, edges, k, s, 0);
    const t = shareNearest(edges, k, from.px, from.py);
    const pair = placesAt(wires, i, edges, k, s, t);
    if (isSeen(pair, ground) && (best === undefined || pair.distanceM < best.distanceM)) best = pair;
  }
  return best;
}

function shareNearest({ abXy }: Segments, k: number, x: number, y: number): number {
  const [ax, ay, bx, by] = abXy.subarray(k * 4, k * 4 + 4);
  const [ux, uy] = [bx - ax, by - ay];
  const squared = ux * ux + uy * uy;
  return squared === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / squared));
}

/** Whether the straight line between the two places stays on the ground. */
function isSeen({ px, py, qx, qy, distanceM }: NearestPlaces, ground: Segments): boolean {
  if (distanceM <= SHORT_OF_M) return true;
  if (ground.boxes === undefined) return false;
  const shortOf = 1 - SHORT_OF_M / distanceM;
  const [ex, ey] = [px + (qx - px) * shortOf, py + (qy - py) * shortOf];
  if (windingAt(ground, (px + ex) / 2, (py + ey) / 2) === 0) return false;
  return ground.boxes.search(Math.min(px, ex), Math.min(py, ey), Math.max(px, ex), Math.max(py, ey)).every((k) => {
    const [ax, ay, bx, by] = ground.abXy.subarray(k * 4, k * 4 + 4);
    return !segmentsCross(px, py, ex, ey, ax, ay, bx, by);
  });
}
