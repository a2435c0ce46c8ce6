import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { deepestStray } from './deepest-stray.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Every point of every wire, leads too, lies on the lawn or on a declared crossing. */
export function checkOnLawn({ wires, ground, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('on-lawn', 'm', roundingM);
  for (let i = 0; i < wires.count; i++) {
    const { depthM, at } = deepestStray(wires, i, ground, 'inside');
    worst.see(depthM, at);
  }
  return worst.check();
}
