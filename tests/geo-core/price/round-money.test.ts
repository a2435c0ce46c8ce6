import Big from 'big.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { divideMoney, roundMoney, roundToStep } from '#geo-core/price/round-money.ts';

/** Examples of ISO 80000-1:2009 (ISO 31-0:1992) annex B, from memory: rounding range 0.1 and 10, rule A (even) and rule B (higher). */
describe('rounding as in ISO 80000-1, annex B', () => {
  test.each([
    ['12.223', '12.2', '12.2'],
    ['12.251', '12.3', '12.3'],
    ['12.275', '12.3', '12.3'],
    ['12.25', '12.2', '12.3'],
    ['12.35', '12.4', '12.4'],
  ])('%s to a range of 0.1 is %s by rule A and %s by rule B', (given, even, higher) => {
    expect(roundMoney(new Big(given), 1, 'even').toFixed(1)).toBe(even);
    expect(roundMoney(new Big(given), 1, 'up').toFixed(1)).toBe(higher);
  });

  test.each([
    ['1222.3', '1220', '1220'],
    ['1225.1', '1230', '1230'],
    ['1227.5', '1230', '1230'],
    ['1225.0', '1220', '1230'],
    ['1235.0', '1240', '1240'],
  ])('%s to a range of 10 is %s by rule A and %s by rule B', (given, even, higher) => {
    expect(roundToStep(new Big(given), new Big(10), 'even').toFixed(0)).toBe(even);
    expect(roundToStep(new Big(given), new Big(10), 'up').toFixed(0)).toBe(higher);
  });
});

test('the smallest coin of 0.05: 10.524 and 10.525 part', () => {
  const step = new Big('0.05');
  expect(roundToStep(new Big('10.524'), step, 'up').toString()).toBe('10.5');
  expect(roundToStep(new Big('10.525'), step, 'up').toString()).toBe('10.55');
  expect(roundToStep(new Big('10.525'), step, 'even').toString()).toBe('10.5');
});

test('quotients that never end are rounded by what is left over (against fractions of whole numbers, seeded)', () => {
  fc.assert(
    fc.property(
      fc.bigInt(0n, 10n ** 15n),
      fc.bigInt(1n, 10n ** 6n),
      fc.constantFrom('up', 'even'),
      (top, bottom, half) => {
        const scaled = (top * 100n) / bottom;
        const rest = 2n * (top * 100n - scaled * bottom);
        const isUp = rest > bottom || (rest === bottom && (half === 'up' || scaled % 2n === 1n));
        const got = divideMoney(new Big(top.toString()), new Big(bottom.toString()), 2, half);
        expect(got.times(100).toFixed(0)).toBe((isUp ? scaled + 1n : scaled).toString());
      },
    ),
    { seed: 91, numRuns: 500 },
  );
});
