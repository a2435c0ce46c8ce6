import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence, Wires } from './evidence.ts';
import { isSeen } from './is-seen.ts';
import { gapBetweenM, type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { pairsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

const LIMIT_M = 1e-3;
/**
 * A way along the wire that is longer than the straight way by more than this many gaps is no corner: a finger deeper than half a gap.
 * A corner of 60 degrees, one side of an even triangle instead of two, is longer by one gap where it is a gap wide.
 */
const DETOUR_GAPS = 1.1;
/** The nearest places that are no corner are found by steps that grow at least this much, metres. */
const LEAST_STEP_M = 1e-6;

/**
 * No two wires that face each other over working area come closer than `wireGapM`, where the machine would be trapped.
 * Two places of one loop are a corner, not two wires, where the way along the loop is not much longer than the straight one; wires
 * back to back (on both sides of a path or of a keep-out) and leads do not trap anything. Worst is the largest shortfall, metres.
 *
 *      |  |              \    /
 *      |  |  a finger     \  /  a corner
 *      +--+                \/
 */
export function checkWiresApart({ wires, rules }: Evidence): AuditCheck {
  const worst = worstCase('wires-apart', 'm', LIMIT_M);
  const { wireGapM: gapM } = rules;
  const detourM = DETOUR_GAPS * gapM;
  const pairs = pairsNear(wires, wires, gapM);
  for (let p = 0; p < pairs.length; p += 2) {
    const [i, j] = [pairs[p], pairs[p + 1]];
    if (wires.isLead[i] || wires.isLead[j]) continue;
    const mostM = alongAtMostM(wires, i, j) - detourM;
    if (mostM < 0 || mostM < middlesApartM(wires, i, j) - (wires.lengthM[i] + wires.lengthM[j]) / 2) continue;
    const gap = gapBetweenM(wires, i, wires, j);
    if (gap >= gapM - LIMIT_M || mostM < gap) continue;
    const pair = nearestNoCorner(wires, i, j, gap, gapM, detourM);
    if (pair === undefined || !isSeen(pair, wires, wires.isLead)) continue;
    worst.see(gapM - pair.distanceM, { x: (pair.px + pair.qx) / 2, y: (pair.py + pair.qy) / 2 });
  }
  return worst.check();
}

/** The longest way along their loop, the shorter way round, between places of two segments, or more; infinite between two loops. */
function alongAtMostM({ owner, ownerLengthM, alongM, lengthM }: Wires, i: number, j: number): number {
  if (owner[i] !== owner[j]) return Number.POSITIVE_INFINITY;
  const startsM = alongM[j] - alongM[i];
  const roundM = ownerLengthM[owner[i]];
  return Math.min(startsM + lengthM[j], roundM - startsM + lengthM[i], roundM / 2);
}

function middlesApartM({ abXy }: Wires, i: number, j: number): number {
  const twiceX = abXy[4 * i] + abXy[4 * i + 2] - abXy[4 * j] - abXy[4 * j + 2];
  const twiceY = abXy[4 * i + 1] + abXy[4 * i + 3] - abXy[4 * j + 1] - abXy[4 * j + 3];
  return Math.sqrt(twiceX * twiceX + twiceY * twiceY) / 2;
}

/**
 * The nearest places of two segments, less than the gap apart, between which the way along their loop is longer by the detour than the
 * straight one. No places nearer than a known distance can be it unless they are that and the detour apart along the loop: so the
 * distance is raised from below until it stays.
 */
function nearestNoCorner(
  wires: Wires,
  i: number,
  j: number,
  atLeastM: number,
  gapM: number,
  detourM: number,
): NearestPlaces | undefined {
  if (wires.owner[i] !== wires.owner[j]) return nearestPlaces(wires, i, wires, j);
  for (let knownM = atLeastM; ; ) {
    const pair = nearestApart(wires, i, j, knownM + detourM);
    if (pair === undefined || pair.distanceM >= gapM - LIMIT_M) return undefined;
    if (pair.distanceM < knownM + LEAST_STEP_M) return pair;
    knownM = pair.distanceM;
  }
}

/**
 * The nearest places of two segments of one loop that are at least `apartM` apart along it either way. The distance is convex in
 * the two shares and the allowed shares form a strip, so where the free minimum is not allowed, the allowed one lies on the edge
 * of the strip, where the squared distance is a parabola.
 */
function nearestApart(wires: Wires, i: number, j: number, apartM: number): NearestPlaces | undefined {
  const lengthM = wires.ownerLengthM[wires.owner[i]];
  const startsM = wires.alongM[j] - wires.alongM[i];
  const free = nearestPlaces(wires, i, wires, j);
  const freeM = startsM + free.t * wires.lengthM[j] - free.s * wires.lengthM[i];
  if (apartM > lengthM / 2) return undefined;
  if (freeM >= apartM && freeM <= lengthM - apartM) return free;
  return nearestAtM(wires, i, j, (freeM < apartM ? apartM : lengthM - apartM) - startsM);
}

/** Nearest places with t * |j| - s * |i| = shiftM; undefined where the segments hold none. */
function nearestAtM(wires: Wires, i: number, j: number, shiftM: number): NearestPlaces | undefined {
  const [li, lj] = [wires.lengthM[i], wires.lengthM[j]];
  const [lowM, highM] = [Math.max(0, -shiftM), Math.min(li, lj - shiftM)];
  if (!(lowM <= highM)) return undefined;
  const low = placesAt(wires, i, wires, j, lowM / li, (lowM + shiftM) / lj);
  const high = placesAt(wires, i, wires, j, highM / li, (highM + shiftM) / lj);
  const [gx, gy] = [low.px - low.qx, low.py - low.qy];
  const [dx, dy] = [high.px - high.qx - gx, high.py - high.qy - gy];
  const squared = dx * dx + dy * dy;
  const share = squared === 0 ? 0 : Math.min(1, Math.max(0, -(gx * dx + gy * dy) / squared));
  const alongM = lowM + share * (highM - lowM);
  return placesAt(wires, i, wires, j, alongM / li, (alongM + shiftM) / lj);
}
