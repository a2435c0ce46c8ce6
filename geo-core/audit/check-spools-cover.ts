import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/**
 * The spools lay every route from its first to its last metre, one after the other, with a splice wherever one ends on the way, and none
 * lays more than it holds with spare ends and reserve (slopes and corners not counted: those only take more). Worst is the length that is
 * missing, metres.
 */
export function checkSpoolsCover({ route, settingOut, rules }: Evidence): AuditCheck {
  const worst = worstCase('spools-cover', 'm', 1e-6);
  const { spools, splices, spoolCount } = settingOut;
  for (const { signalUnit, lengthM, line } of route.routes) {
    const start = { x: line[0], y: line[1] };
    const laid = spools.flatMap(({ lays }) => lays.filter((piece) => piece.signalUnit === signalUnit));
    const splicedM = splices
      .filter((splice) => splice.signalUnit === signalUnit)
      .map(({ chainageM }) => chainageM)
      .sort((a, b) => a - b);
    const beginsM = [0, ...splicedM];
    const endsM = [...splicedM, lengthM];
    worst.see(laid.length === beginsM.length ? 0 : lengthM, start);
    for (const [i, { fromM, toM }] of laid.entries()) {
      worst.see(Math.abs(fromM - (beginsM[i] ?? lengthM)), start);
      worst.see(Math.abs(toM - (endsM[i] ?? 0)), start);
    }
  }
  const lengthOf = new Map(route.routes.map(({ signalUnit, lengthM }) => [signalUnit, lengthM]));
  for (const { lengthM, lays } of spools) {
    const laidM = lays.reduce((sum, { signalUnit, fromM, toM }) => {
      const spares = (fromM <= 0 ? 1 : 0) + (toM >= (lengthOf.get(signalUnit) ?? 0) ? 1 : 0);
      return sum + toM - fromM + spares * rules.endSpareM;
    }, 0);
    worst.see(laidM * (1 + rules.reservePct / 100) - lengthM);
  }
  worst.see(Math.abs(spools.length - spoolCount));
  return worst.check();
}
