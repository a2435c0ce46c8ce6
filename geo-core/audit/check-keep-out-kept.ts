import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { gapBetweenM, nearestPlaces } from './nearest-places.ts';
import { seeStrays } from './see-strays.ts';
import { eachPairNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * Every boundary and keep-out wire keeps its distance, in a straight line, from every keep-out that gets wire; no wire,
 * leads too, runs through one. Keep-outs that may be bumped into do not count. Worst is the largest shortfall, metres.
 */
export function checkKeepOutKept({ wires, keepOutEdges, discs, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('keep-out-kept', 'm', roundingM);
  if (keepOutEdges.count > 0) seeStrays(wires, keepOutEdges, 'outside', worst);
  const { offsetM } = keepOutEdges;
  const reachM = offsetM.reduce((most, each) => Math.max(most, each), 0);
  if (reachM > 0) {
    eachPairNear(wires, keepOutEdges, reachM, (i, k) => {
      if (wires.isLead[i] || gapBetweenM(wires, i, keepOutEdges, k) >= offsetM[k]) return;
      const { distanceM, px, py } = nearestPlaces(wires, i, keepOutEdges, k);
      worst.see(offsetM[k] - distanceM, { x: px, y: py });
    });
  }
  for (const { x, y, radiusM, offsetM: awayM } of discs) {
    const reach = radiusM + awayM;
    wires.grid.some(x, y, x, y, reach, (i) => {
      if (wires.isLead[i]) return false;
      const [ax, ay, bx, by] = [4 * i, 4 * i + 1, 4 * i + 2, 4 * i + 3].map((at) => wires.abXy[at]);
      const shortM = reach - pointSegmentM(x, y, ax, ay, bx, by);
      if (shortM > 0) worst.see(shortM, { x: (ax + bx) / 2, y: (ay + by) / 2 });
      return false;
    });
  }
  return worst.check();
}
