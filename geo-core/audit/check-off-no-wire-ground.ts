import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { deepestStray } from './deepest-stray.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** No wire, leads too, runs through ground where nothing may be laid. */
export function checkOffNoWireGround({ wires, noWire, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('off-no-wire-ground', 'm', roundingM);
  if (noWire.count > 0) {
    for (let i = 0; i < wires.count; i++) {
      const { depthM, at } = deepestStray(wires, i, noWire, 'outside');
      worst.see(depthM, at);
    }
  }
  return worst.check();
}
