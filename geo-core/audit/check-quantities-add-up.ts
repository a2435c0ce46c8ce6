import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** The wire of the take-off is at least the routes with a spare at both ends of each. Worst is what is missing, metres. */
export function checkQuantitiesAddUp({ route, takeOff, rules }: Evidence): AuditCheck {
  const worst = worstCase('quantities-add-up', 'm', 1e-6);
  const orderedM = takeOff.lines
    .filter((line) => line.code === 'wire' && line.unit === 'm')
    .reduce((sum, line) => sum + line.quantity, 0);
  const neededM = route.routes.reduce((sum, each) => sum + each.lengthM + 2 * rules.endSpareM, 0);
  worst.see(neededM - orderedM);
  return worst.check();
}
