import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { parameterOnSegment } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { isSeen } from './is-seen.ts';
import { type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { type Segments, segmentsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

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
    const [ax, ay, bx, by] = edges.abXy.subarray(k * 4, k * 4 + 4);
    const t = parameterOnSegment(from.px, from.py, ax, ay, bx, by);
    const pair = placesAt(wires, i, edges, k, s, t);
    if (isSeen(pair, ground) && (best === undefined || pair.distanceM < best.distanceM)) best = pair;
  }
  return best;
}
