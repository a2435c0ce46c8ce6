import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fieldAtNt } from '#geo-core/audit/field-at.ts';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import { goldenGarden, rectangle } from '../../support/golden-garden.ts';

const centreOf = (widthM: number, heightM: number): number =>
  fieldAtNt(Float64Array.of(...rectangle(0, 0, widthM, heightM), 0, 0), widthM / 2, heightM / 2);

test('centre of a rectangle: (mu0 I / pi) 2 sqrt(w^2 + h^2) / (w h), anticlockwise up', () => {
  for (const [w, h] of [
    [1, 1],
    [4, 3],
    [20, 10],
  ])
    expect(centreOf(w, h)).toBeCloseTo((800 * Math.sqrt(w * w + h * h)) / (w * h), 9);
});

test('a wire that points at the place makes no field there', () => {
  expect(fieldAtNt(Float64Array.of(0, 0, 3, 0), 4, 0)).toBe(0);
});

test('the published field of the golden garden', () => {
  const line = goldenGarden().route.routes[0].line;
  for (const { x, y, Bz_nT_per_A: publishedNt } of golden.case_g1.field_nT_per_A)
    expect(Math.abs(fieldAtNt(line, x, y) / publishedNt - 1)).toBeLessThan(golden.case_g1.tolerance.field_relative);
});

test('agrees with the field of the planner, which it shares nothing with', () => {
  const metres = fc.integer({ min: -2000, max: 2000 }).map((centimetres) => centimetres / 100);
  const besides = metres.map((x) => x + 0.0037);
  fc.assert(
    fc.property(fc.array(metres, { minLength: 6, maxLength: 24 }), besides, besides, (numbers, x, y) => {
      const line = Float64Array.from(numbers.slice(0, 2 * Math.floor(numbers.length / 2)));
      expect(fieldAtNt(line, x, y)).toBeCloseTo(verticalFieldNt(line, x, y), 3);
    }),
    { seed: 20_240, numRuns: 500 },
  );
});
