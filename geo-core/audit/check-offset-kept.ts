import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { parameterOnSegment } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { facesPlace } from './faces-place.ts';
import { isSeen } from './is-seen.ts';
import { gapBetweenM, type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { type IndexedSegments, pairsNear, type Segments } from './segments.ts';
import { worstCase } from './worst-case.ts';

/** A hidden pair is looked at again from this many places along the wire. */
const LOOKS = 8;

/**
 * Every boundary and keep-out wire keeps the offset of every lawn edge, measured inside the ground: an edge that the wire
 * cannot see in a straight line over the ground (behind a wall, on another lawn) does not count. The wire looks from its
 * left, where the working area is: one that turns the corner of a wall lies on the last line of sight past it, and no ground
 * inside the wire sees what is behind. Leads are free. The edges must be as long as the outlines of the ground: none is forgotten.
 * Worst is the largest shortfall, metres.
 */
export function checkOffsetKept({ wires, lawnEdges, ground, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('offset-kept', 'm', roundingM);
  const pairs = pairsNear(lawnEdges, wires, lawnEdges.offsetM);
  for (let p = 0; p < pairs.length; p += 2) {
    const [k, i] = [pairs[p], pairs[p + 1]];
    const offsetM = lawnEdges.offsetM[k];
    if (wires.isLead[i]) continue;
    const gapM = gapBetweenM(wires, i, lawnEdges, k);
    if (gapM >= offsetM || !worst.mayBeWorse(offsetM - gapM)) continue;
    const nearest = nearestPlaces(wires, i, lawnEdges, k);
    const isShort = offsetM - nearest.distanceM > roundingM;
    const seen = isShort ? nearestSeen(wires, i, lawnEdges, k, ground, nearest, roundingM) : nearest;
    if (seen) worst.see(offsetM - seen.distanceM, { x: seen.px, y: seen.py });
  }
  worst.see(Math.abs(wholeM(ground) - wholeM(lawnEdges)));
  return worst.check();
}

function wholeM({ lengthM }: Segments): number {
  let sumM = 0;
  for (let i = 0; i < lengthM.length; i++) sumM += lengthM[i];
  return sumM;
}

/** The nearest pair of places with nothing between; only from a few places along the wire where the nearest of all is hidden. */
function nearestSeen(
  wires: Segments,
  i: number,
  edges: Segments,
  k: number,
  ground: IndexedSegments,
  nearest: NearestPlaces,
  asideM: number,
): NearestPlaces | undefined {
  const sees = (pair: NearestPlaces): boolean =>
    isSeen(fromLeft(wires, i, pair, asideM), ground) && facesPlace(edges, k, pair, ground);
  if (sees(nearest)) return nearest;
  const [cx, cy, dx, dy] = [4 * k, 4 * k + 1, 4 * k + 2, 4 * k + 3].map((at) => edges.abXy[at]);
  let best: NearestPlaces | undefined;
  for (let look = 0; look <= LOOKS; look++) {
    const s = look / LOOKS;
    const from = placesAt(wires, i, edges, k, s, 0);
    const pair = placesAt(wires, i, edges, k, s, parameterOnSegment(from.px, from.py, cx, cy, dx, dy));
    if ((best === undefined || pair.distanceM < best.distanceM) && sees(pair)) best = pair;
  }
  return best;
}

/** The same pair, looked at from a little to the left of wire i. */
function fromLeft({ abXy, lengthM }: Segments, i: number, pair: NearestPlaces, asideM: number): NearestPlaces {
  const share = lengthM[i] === 0 ? 0 : asideM / lengthM[i];
  const px = pair.px - (abXy[4 * i + 3] - abXy[4 * i + 1]) * share;
  const py = pair.py + (abXy[4 * i + 2] - abXy[4 * i]) * share;
  return { ...pair, px, py };
}
