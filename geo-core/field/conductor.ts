import type { ConductorClass } from '#geo-core/model/rules.ts';

/**
 * Greatest DC resistance at 20 degrees Celsius of plain annealed copper, ohm per km, by class: IEC 60228 (2004 values, read in
 * reprints). Class 1 solid, 2 stranded, 5 flexible. A flexible wire is 13 to 16 % above resistivity / cross-section: never estimate it.
 */
const IEC_60228: readonly { readonly areaMm2: number; readonly ohmPerKm: Readonly<Record<ConductorClass, number>> }[] =
  [
    { areaMm2: 0.5, ohmPerKm: { 1: 36.0, 2: 36.0, 5: 39.0 } },
    { areaMm2: 0.75, ohmPerKm: { 1: 24.5, 2: 24.5, 5: 26.0 } },
    { areaMm2: 1.0, ohmPerKm: { 1: 18.1, 2: 18.1, 5: 19.5 } },
    { areaMm2: 1.5, ohmPerKm: { 1: 12.1, 2: 12.1, 5: 13.3 } },
    { areaMm2: 2.5, ohmPerKm: { 1: 7.41, 2: 7.41, 5: 7.98 } },
    { areaMm2: 4, ohmPerKm: { 1: 4.61, 2: 4.61, 5: 4.95 } },
    { areaMm2: 6, ohmPerKm: { 1: 3.08, 2: 3.08, 5: 3.3 } },
  ];

/** The cross-sections of the table, square millimetres, ascending. */
export const LISTED_AREAS_MM2: readonly number[] = IEC_60228.map((row) => row.areaMm2);

/** Resistivity of annealed copper at 20 degrees Celsius, 100 % IACS: 1/58 ohm mm2/m (IEC 60028, from memory). */
const COPPER_OHM_MM2_PER_M = 1 / 58;

/** Ohm per km at 20 degrees Celsius of a listed cross-section; undefined where IEC 60228 lists none: nothing is interpolated. */
export function resistancePerKmOhm(conductorClass: ConductorClass, areaMm2: number): number | undefined {
  return IEC_60228.find((row) => row.areaMm2 === areaMm2)?.ohmPerKm[conductorClass];
}

/** The largest listed cross-section that is not larger, so that the resistance is never understated; undefined below 0.5 mm2. */
export function listedAreaMm2(areaMm2: number): number | undefined {
  return LISTED_AREAS_MM2.findLast((listed) => listed <= areaMm2);
}

/** Factor on the resistance at 20 degrees Celsius: 1 + 0.00393 (t - 20), annealed copper (NBS Handbook 100; IEC 60228 rounds to 0.004). */
export function temperatureFactor(temperatureC: number): number {
  return 1 + 0.00393 * (temperatureC - 20);
}

/** Resistance of a wire, ohm, from ohm per km at 20 degrees Celsius, metres and degrees Celsius. */
export function wireResistanceOhm(ohmPerKm: number, lengthM: number, temperatureC = 20): number {
  return ((ohmPerKm * lengthM) / 1000) * temperatureFactor(temperatureC);
}

/** Cross-section of an American gauge number, square millimetres: ASTM B258, diameter 0.005 in x 92^((36 - n)/39). */
export function awgAreaMm2(gauge: number): number {
  const diameterMm = 25.4 * 0.005 * 92 ** ((36 - gauge) / 39);
  return (Math.PI / 4) * diameterMm * diameterMm;
}

/** Ohm per km at 20 degrees Celsius of a solid copper wire of an American gauge number: 100 % IACS over the ASTM B258 cross-section. */
export function awgResistancePerKmOhm(gauge: number): number {
  return (1000 * COPPER_OHM_MM2_PER_M) / awgAreaMm2(gauge);
}

/**
 * Voltage drop, V, of a two-wire supply: IEC 60364-5-52 Annex G (read in a reprint), u = b (rho1 L/S cos phi + lambda L sin phi) I with
 * b = 2, rho1 = 0.0225 ohm mm2/m (1.25 x the value at 20 degrees Celsius), lambda = 0.08 mohm/m. `lengthM` is one way; direct
 * current has cos phi = 1.
 */
export function voltageDropV(supply: {
  readonly currentA: number;
  readonly lengthM: number;
  readonly areaMm2: number;
  readonly cosPhi?: number;
}): number {
  const cosPhi = supply.cosPhi ?? 1;
  const sinPhi = Math.sqrt(1 - cosPhi * cosPhi);
  return 2 * supply.lengthM * ((0.0225 / supply.areaMm2) * cosPhi + 0.000_08 * sinPhi) * supply.currentA;
}
