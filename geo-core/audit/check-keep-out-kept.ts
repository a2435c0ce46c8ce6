import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { gapBetweenM, nearestPlaces } from './nearest-places.ts';
import { insideM, seeStrays } from './see-strays.ts';
import { pairsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * Every boundary and keep-out wire keeps its distance, in a straight line, from every keep-out that gets wire; no wire,
 * leads too, runs through one. Keep-outs that may be bumped into do not count. Worst is the largest shortfall, metres.
 */
export function checkKeepOutKept({ wires, keepOutEdges, discs, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('keep-out-kept', 'm', roundingM);
  if (keepOutEdges.count > 0) seeStrays(wires, keepOutEdges, (x, y) => insideM(keepOutEdges, x, y), worst);
  const { offsetM } = keepOutEdges;
  const pairs = pairsNear(keepOutEdges, wires, offsetM);
  for (let p = 0; p < pairs.length; p += 2) {
    const [k, i] = [pairs[p], pairs[p + 1]];
    if (wires.isLead[i]) continue;
    const gapM = gapBetweenM(wires, i, keepOutEdges, k);
    if (gapM >= offsetM[k] || !worst.mayBeWorse(offsetM[k] - gapM)) continue;
    const { distanceM, px, py } = nearestPlaces(wires, i, keepOutEdges, k);
    worst.see(offsetM[k] - distanceM, { x: px, y: py });
  }
  const { abXy, grid } = wires;
  for (const { x, y, radiusM, offsetM: awayM } of discs) {
    const many = grid.near(x, y, x, y, radiusM + awayM);
    for (let n = 0; n < many; n++) {
      const at = 4 * grid.found[n];
      if (wires.isLead[grid.found[n]]) continue;
      const distanceM = pointSegmentM(x, y, abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3]);
      const shortM = radiusM + awayM - distanceM;
      if (shortM > 0 && worst.mayBeWorse(shortM))
        worst.see(shortM, { x: (abXy[at] + abXy[at + 2]) / 2, y: (abXy[at + 1] + abXy[at + 3]) / 2 });
    }
  }
  return worst.check();
}
