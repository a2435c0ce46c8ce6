import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { insideM, seeStrays } from './see-strays.ts';
import { worstCase } from './worst-case.ts';

/** No wire, leads too, runs through ground where nothing may be laid. */
export function checkOffNoWireGround({ wires, noWire, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('off-no-wire-ground', 'm', roundingM);
  if (noWire.count > 0) seeStrays(wires, noWire, (x, y) => insideM(noWire, x, y), worst);
  return worst.check();
}
