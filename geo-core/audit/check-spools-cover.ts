import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/**
 * No stretch between two splices (or an end with its spare and the next splice) needs more wire than a spool holds, and
 * all spools together hold the routes with their spares. Worst is the length that is missing, metres.
 */
export function checkSpoolsCover({ route, settingOut, rules }: Evidence): AuditCheck {
  const worst = worstCase('spools-cover', 'm', 1e-6);
  let neededM = 0;
  for (const { signalUnit, lengthM, line } of route.routes) {
    neededM += lengthM + 2 * rules.endSpareM;
    const splicesM = settingOut.splices
      .filter((splice) => splice.signalUnit === signalUnit)
      .map((splice) => splice.chainageM)
      .sort((a, b) => a - b);
    let beginsM = -rules.endSpareM;
    for (const endsM of [...splicesM, lengthM + rules.endSpareM]) {
      worst.see(endsM - beginsM - rules.spoolM, { x: line[0], y: line[1] });
      beginsM = endsM;
    }
  }
  worst.see(neededM - settingOut.spoolCount * rules.spoolM);
  return worst.check();
}
