import type { Rules } from '#geo-core/model/rules.ts';
import { intervalCount } from '#geo-core/plane/interval-count.ts';
import { listedAreaMm2, resistancePerKmOhm, wireResistanceOhm } from './conductor.ts';

/**
 * Resistance of one signal unit's wire as warm as it gets, with a sound splice at every end of a spool, ohm; length in metres. A
 * cross-section that IEC 60228 does not list counts as the next smaller one.
 */
export function loopResistanceOhm(lengthM: number, rules: Rules): number {
  return warmOhmPerM(rules) * lengthM + spliceCount(lengthM, rules) * rules.spliceOhm;
}

/** How much wire one signal unit drives, metres, and what it would exceed with more. */
export type WireLimit = { readonly mostM: number; readonly by: 'length' | 'resistance' };

/**
 * The longest wire within `loopMaxM` and `loopMaxOhm`. With k splices it is (ohm - k splices) / (ohm a metre), where that is on the
 * (k + 1)th spool; where the splice itself would be too much, the wire ends with its spool.
 */
export function wireLimit(rules: Rules): WireLimit {
  const { loopMaxM, loopMaxOhm, spliceOhm, spoolM, endSpareM } = rules;
  const perM = warmOhmPerM(rules);
  for (let splices = 0; ; splices++) {
    const [fromM, toM] = [splices * spoolM - 2 * endSpareM, (splices + 1) * spoolM - 2 * endSpareM];
    const mostM = Math.max(fromM, (loopMaxOhm - splices * spliceOhm) / perM);
    if (Math.min(mostM, toM) >= loopMaxM) return { mostM: loopMaxM, by: 'length' };
    if (mostM <= toM) return { mostM, by: 'resistance' };
  }
}

function warmOhmPerM({ conductorClass, conductorMm2, wireTemperatureC }: Rules): number {
  const ohmPerKm =
    resistancePerKmOhm(conductorClass, conductorMm2) ??
    resistancePerKmOhm(conductorClass, listedAreaMm2(conductorMm2) ?? 0.5);
  if (ohmPerKm === undefined)
    throw new Error(`no resistance for a conductor of class ${conductorClass}, ${conductorMm2} mm²`);
  return wireResistanceOhm(ohmPerKm, 1, wireTemperatureC);
}

function spliceCount(lengthM: number, { endSpareM, spoolM }: Rules): number {
  return Math.max(0, intervalCount(lengthM + 2 * endSpareM, spoolM) - 1);
}
