import type { SupplyFigures } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { awgAreaMm2, LISTED_AREAS_MM2, voltageDropV } from './conductor.ts';

/** American gauge numbers of cables that are sold by them, thinnest first. */
const GAUGES = [20, 18, 16, 14, 12, 10];

/**
 * The low-voltage supply of a station over a cable of `cableM` metres (one way): what the cable loses (IEC 60364-5-52 Annex G, direct
 * current), the thinnest listed cross-section and gauge that keep within `supplyDropMaxPct`, undefined where none does, and the power
 * drawn at the outlet's side while charging. Advice: the maker of the supply and a licensed electrician decide.
 */
export function supplyFigures(cableM: number, rules: Rules): SupplyFigures {
  const { supplyV, supplyA, supplyMm2, supplyDropMaxPct } = rules;
  const dropPct = (areaMm2: number): number =>
    (100 * voltageDropV({ currentA: supplyA, lengthM: cableM, areaMm2 })) / supplyV;
  const leastMm2 = LISTED_AREAS_MM2.find((areaMm2) => dropPct(areaMm2) <= supplyDropMaxPct);
  const leastAwg = GAUGES.find((gauge) => dropPct(awgAreaMm2(gauge)) <= supplyDropMaxPct);
  return {
    cableM,
    areaMm2: supplyMm2,
    dropV: voltageDropV({ currentA: supplyA, lengthM: cableM, areaMm2: supplyMm2 }),
    dropPct: dropPct(supplyMm2),
    powerW: supplyV * supplyA,
    ...(leastMm2 === undefined ? {} : { leastMm2 }),
    ...(leastAwg === undefined ? {} : { leastAwg }),
  };
}
