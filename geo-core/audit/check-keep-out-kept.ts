import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { deepestStray } from './deepest-stray.ts';
import type { Evidence } from './evidence.ts';
import { nearestPlaces } from './nearest-places.ts';
import { segmentsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * Every boundary and keep-out wire keeps its distance, in a straight line, from every keep-out that gets wire; no wire,
 * leads too, runs through one. Keep-outs that may be bumped into do not count. Worst is the largest shortfall, metres.
 */
export function checkKeepOutKept({ wires, keepOutEdges, discs, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('keep-out-kept', 'm', roundingM);
  const reachM = keepOutEdges.offsetM.reduce((most, each) => Math.max(most, each), 0);
  for (let i = 0; i < wires.count && keepOutEdges.count > 0; i++) {
    const { depthM, at } = deepestStray(wires, i, keepOutEdges, 'outside');
    worst.see(depthM, at);
    if (wires.of[i] === 'lead') continue;
    for (const k of segmentsNear(keepOutEdges, wires, i, reachM)) {
      const { distanceM, px, py } = nearestPlaces(wires, i, keepOutEdges, k);
      worst.see(keepOutEdges.offsetM[k] - distanceM, { x: px, y: py });
    }
  }
  for (const { x, y, radiusM, offsetM } of discs) {
    const reach = radiusM + offsetM;
    for (const i of wires.boxes?.search(x - reach, y - reach, x + reach, y + reach) ?? []) {
      if (wires.of[i] === 'lead') continue;
      const [ax, ay, bx, by] = wires.abXy.subarray(i * 4, i * 4 + 4);
      worst.see(reach - pointSegmentM(x, y, ax, ay, bx, by), { x: (ax + bx) / 2, y: (ay + by) / 2 });
    }
  }
  return worst.check();
}
