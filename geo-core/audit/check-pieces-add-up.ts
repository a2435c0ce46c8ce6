import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** The take-off counts as many pegs (whatever the ground), splices and spools as are set out, and two connectors a route. Worst is the largest difference. */
export function checkPiecesAddUp({ route, settingOut, takeOff }: Evidence): AuditCheck {
  const worst = worstCase('pieces-add-up', '1', 0);
  const wanted: Readonly<Record<string, number>> = {
    peg: settingOut.pegs.length,
    splice: settingOut.splices.length,
    spool: settingOut.spoolCount,
    'end-connector': 2 * route.routes.length,
  };
  for (const [code, count] of Object.entries(wanted)) {
    const ordered = takeOff.lines.reduce(
      (sum, line) => (line.code === code || line.code.startsWith(`${code}-`) ? sum + line.quantity : sum),
      0,
    );
    worst.see(Math.abs(ordered - count));
  }
  return worst.check();
}
