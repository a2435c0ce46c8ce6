import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence, Wires } from './evidence.ts';
import { isSeen } from './is-seen.ts';
import { gapBetweenM, type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { eachPairNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

const LIMIT_M = 1e-3;
/** Places of one wire this many gaps apart along it still belong to one corner: a corner of 60 degrees that holds a gap takes two. */
const CORNER_GAPS = 2.1;

/**
 * No two wires that face each other over working area come closer than `wireGapM`, where the machine would be trapped.
 * Two places of one loop near each other along the loop are a corner, not two wires; wires back to back (on both sides of a
 * path or of a keep-out) and leads do not trap anything. Worst is the largest shortfall, metres.
 */
export function checkWiresApart({ wires, rules }: Evidence): AuditCheck {
  const worst = worstCase('wires-apart', 'm', LIMIT_M);
  const gapM = rules.wireGapM;
  const { isLead } = wires;
  eachPairNear(wires, wires, gapM, (i, j) => {
    if (isLead[i] || isLead[j] || isOneCorner(wires, i, j, CORNER_GAPS * gapM)) return;
    if (gapBetweenM(wires, i, wires, j) >= gapM - LIMIT_M) return;
    const pair = nearestApart(wires, i, j, CORNER_GAPS * gapM);
    if (pair === undefined || gapM - pair.distanceM <= LIMIT_M || !isSeen(pair, wires, isLead)) return;
    worst.see(gapM - pair.distanceM, { x: (pair.px + pair.qx) / 2, y: (pair.py + pair.qy) / 2 });
  });
  return worst.check();
}

/** Whether two segments of one loop lie less than `cornerM` apart along it everywhere, or the loop is no longer than two corners. */
function isOneCorner({ owner, ownerLengthM, alongM, lengthM }: Wires, i: number, j: number, cornerM: number): boolean {
  if (owner[i] !== owner[j]) return false;
  const roundM = ownerLengthM[owner[i]];
  const startsM = alongM[j] - alongM[i];
  return startsM + lengthM[j] < cornerM || startsM - lengthM[i] > roundM - cornerM || roundM < 2 * cornerM;
}

/**
 * The nearest places of two segments; on one loop only places at least `cornerM` apart along it either way. The distance
 * is convex in the two shares and the allowed shares form a strip, so where the free minimum is not allowed, the allowed
 * one lies on the edge of the strip, where the squared distance is a parabola.
 */
function nearestApart(wires: Wires, i: number, j: number, cornerM: number): NearestPlaces | undefined {
  if (wires.owner[i] !== wires.owner[j]) return nearestPlaces(wires, i, wires, j);
  const lengthM = wires.ownerLengthM[wires.owner[i]];
  const startsM = wires.alongM[j] - wires.alongM[i];
  const free = nearestPlaces(wires, i, wires, j);
  const apartM = startsM + free.t * wires.lengthM[j] - free.s * wires.lengthM[i];
  if (apartM >= cornerM && apartM <= lengthM - cornerM) return free;
  return nearestAtM(wires, i, j, (apartM < cornerM ? cornerM : lengthM - cornerM) - startsM);
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
