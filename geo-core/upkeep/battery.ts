/** Battery arithmetic: definitions, no source. Hours, watts, watt-hours. */

/** Energy that may be drawn from a full battery: V x Ah x usable share (0 to 1), Wh. */
export function usableEnergyWh(voltageV: number, capacityAh: number, usableShare: number): number {
  return voltageV * capacityAh * usableShare;
}

/** Run on one charge, h. */
export function runTimeH(energyWh: number, powerW: number): number {
  return energyWh / powerW;
}

/** Charging what a run took, h: charger power x charging efficiency (0 to 1). */
export function chargeTimeH(energyWh: number, chargerW: number, chargeEfficiency: number): number {
  return energyWh / (chargerW * chargeEfficiency);
}

/** Share of the clock that is spent mowing, run / (run + charge), both in the same unit of time. */
export function mowingShare(run: number, charge: number): number {
  return run / (run + charge);
}
