import { expect, test } from 'vitest';
import { chargeTimeH, mowingShare, runTimeH, usableEnergyWh } from '#geo-core/upkeep/battery.ts';

test('25.2 V, 5 Ah, 0.8 usable, 28 W: 3.6 h of mowing, 1.3333 h of charging at 84 W x 0.9, 72.973 % of the clock', () => {
  const energyWh = usableEnergyWh(25.2, 5, 0.8);
  expect(energyWh).toBeCloseTo(100.8, 12);
  const [runH, chargeH] = [runTimeH(energyWh, 28), chargeTimeH(energyWh, 84, 0.9)];
  expect(runH).toBeCloseTo(3.6, 12);
  expect(chargeH).toBeCloseTo(1.3333, 4);
  expect(mowingShare(runH, chargeH)).toBeCloseTo(0.72973, 6);
});

test('a machine that need not charge mows all the time', () => {
  expect(mowingShare(70, 0)).toBe(1);
});
