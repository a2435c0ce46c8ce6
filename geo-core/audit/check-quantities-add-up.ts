import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** The wire of the take-off is at least the routes with a spare at both ends of each, the cable as long as its way. Worst is what is missing, metres. */
export function checkQuantitiesAddUp({ route, stations, takeOff, rules }: Evidence): AuditCheck {
  const worst = worstCase('quantities-add-up', 'm', 1e-6);
  const orderedM = (code: string): number =>
    takeOff.lines.reduce((sum, line) => (line.code === code && line.unit === 'm' ? sum + line.quantity : sum), 0);
  const wireM = route.routes.reduce((sum, each) => sum + each.lengthM + 2 * rules.endSpareM, 0);
  worst.see(wireM - orderedM('wire'));
  worst.see(lineLengthM(stations.supplyCable ?? new Float64Array()) - orderedM('supply-cable'));
  return worst.check();
}
