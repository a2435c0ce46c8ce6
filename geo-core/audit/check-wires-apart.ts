import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence, Wires } from './evidence.ts';
import { isSeen } from './is-seen.ts';
import { type NearestPlaces, nearestPlaces, placesAt } from './nearest-places.ts';
import { segmentLengthM, segmentsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

const LIMIT_M = 1e-3;
/** Places of one wire this many gaps apart along it still belong to one corner: a half turn round a gap takes pi / 2 gaps. */
const CORNER_GAPS = 2.1;

/**
 * No two wires that face each other over working area come closer than `wireGapM`, where the machine would be trapped.
 * Two places of one loop near each other along the loop are a corner, not two wires; wires back to back (on both sides of a
 * path or of a keep-out) and leads do not trap anything. Worst is the largest shortfall, metres.
 */
export function checkWiresApart({ wires, rules }: Evidence): AuditCheck {
  const worst = worstCase('wires-apart', 'm', LIMIT_M);
  const gapM = rules.wireGapM;
  const isLead = (k: number) => wires.of[k] === 'lead';
  for (let i = 0; i < wires.count; i++) {
    if (isLead(i)) continue;
    for (const j of segmentsNear(wires, wires, i, gapM)) {
      if (j <= i || isLead(j)) continue;
      const pair = nearestApart(wires, i, j, CORNER_GAPS * gapM);
      if (pair === undefined || gapM - pair.distanceM <= LIMIT_M) continue;
      if (!isSeen(pair, wires, isLead)) continue;
      worst.see(gapM - pair.distanceM, { x: (pair.px + pair.qx) / 2, y: (pair.py + pair.qy) / 2 });
    }
  }
  return worst.check();
}

/**
 * The nearest places of two segments; on one loop only places at least `cornerM` apart along it either way. The distance
 * is convex in the two shares and the allowed shares form a strip, so where the free minimum is not allowed, the allowed
 * one lies on the edge of the strip, where the squared distance is a parabola.
 */
function nearestApart(wires: Wires, i: number, j: number, cornerM: number): NearestPlaces | undefined {
  if (wires.owner[i] !== wires.owner[j]) return nearestPlaces(wires, i, wires, j);
  const lengthM = wires.ownerLengthM[wires.owner[i]];
  const [li, lj] = [segmentLengthM(wires, i), segmentLengthM(wires, j)];
  const startsM = wires.alongM[j] - wires.alongM[i];
  const [leastM, mostM] = [startsM - li, startsM + lj];
  if (mostM < cornerM || leastM > lengthM - cornerM || lengthM < 2 * cornerM) return undefined;
  const free = nearestPlaces(wires, i, wires, j);
  const apartM = startsM + free.t * lj - free.s * li;
  if (apartM >= cornerM && apartM <= lengthM - cornerM) return free;
  return nearestAtM(wires, i, j, (apartM < cornerM ? cornerM : lengthM - cornerM) - startsM);
}

/** Nearest places with t * |j| - s * |i| = shiftM; undefined where the segments hold none. */
function nearestAtM(wires: Wires, i: number, j: number, shiftM: number): NearestPlaces | undefined {
  const [li, lj] = [segmentLengthM(wires, i), segmentLengthM(wires, j)];
  const [lowM, highM] = [Math.max(0, -shiftM), Math.min(li, lj - shiftM)];
  if (!(lowM <= highM)) return undefined;
  const at = (alongM: number) => placesAt(wires, i, wires, j, alongM / li, (alongM + shiftM) / lj);
  const [low, high] = [at(lowM), at(highM)];
  const [gx, gy] = [low.px - low.qx, low.py - low.qy];
  const [dx, dy] = [high.px - high.qx - gx, high.py - high.qy - gy];
  const squared = dx * dx + dy * dy;
  const share = squared === 0 ? 0 : Math.min(1, Math.max(0, -(gx * dx + gy * dy) / squared));
  return at(lowM + share * (highM - lowM));
}
