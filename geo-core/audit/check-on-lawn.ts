import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { outsideM, seeStrays } from './see-strays.ts';
import { worstCase } from './worst-case.ts';

/** Every point of every wire, leads too, lies on the lawn or on a declared crossing. */
export function checkOnLawn({ wires, ground, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('on-lawn', 'm', roundingM);
  seeStrays(wires, ground, (x, y) => outsideM(ground, x, y), worst);
  return worst.check();
}
