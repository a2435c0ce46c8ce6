import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arcTangent, areaSine, hyperbolicSineCosine, sineCosine } from '#geo-core/projection/portable-functions.ts';

/**
 * Against the engine's own functions, which are within one unit in the last place of the true ones (fdlibm and its descendants
 * claim less than 1 ulp): 1e-15 is about four units in the last place of the largest value here.
 */
const WITHIN = 1e-15;
const angle = fc.double({ min: -7, max: 7, noNaN: true });
const small = fc.double({ min: -1e-3, max: 1e-3, noNaN: true });
const argument = fc.oneof(fc.double({ min: -3, max: 3, noNaN: true }), small);
const RUNS = { seed: 4, numRuns: 20_000 };

describe('functions that give the same bits in every engine', () => {
  it('have the sine and cosine of every angle', () => {
    fc.assert(
      fc.property(fc.oneof(angle, small), (a) => {
        const { sine, cosine } = sineCosine(a);
        expect(Math.abs(sine - Math.sin(a))).toBeLessThan(WITHIN);
        expect(Math.abs(cosine - Math.cos(a))).toBeLessThan(WITHIN);
      }),
      RUNS,
    );
  });

  it('know the values that the handbooks list', () => {
    expect(sineCosine(Math.PI / 6).sine).toBeCloseTo(0.5, 15);
    expect(sineCosine(Math.PI / 3).cosine).toBeCloseTo(0.5, 15);
    expect(sineCosine(0)).toEqual({ sine: 0, cosine: 1 });
    expect(sineCosine(Math.PI / 2).sine).toBe(1);
    expect(arcTangent(1, 1)).toBeCloseTo(Math.PI / 4, 15);
    expect(arcTangent(0, -1)).toBe(Math.PI);
    expect(arcTangent(0, 0)).toBe(0);
    // Abramowitz and Stegun, table 4.15: sinh 1 = 1.175201194, cosh 1 = 1.543080635.
    expect(hyperbolicSineCosine(1).sine).toBeCloseTo(1.175_201_194, 8);
    expect(hyperbolicSineCosine(1).cosine).toBeCloseTo(1.543_080_635, 8);
    expect(areaSine(1.175_201_193_643_801_4)).toBeCloseTo(1, 15);
  });

  it('have the angle of every direction', () => {
    fc.assert(
      fc.property(argument, argument, (y, x) => {
        // Plus zero: here a negative zero is a zero.
        expect(Math.abs(arcTangent(y, x) - Math.atan2(y + 0, x + 0))).toBeLessThan(WITHIN);
      }),
      RUNS,
    );
  });

  it('have hyperbolic sines, cosines and area sines to the same share of their size', () => {
    fc.assert(
      fc.property(argument, (u) => {
        const { sine, cosine } = hyperbolicSineCosine(u);
        expect(Math.abs(sine - Math.sinh(u))).toBeLessThan(3 * WITHIN * Math.abs(u) * Math.cosh(u) + Number.MIN_VALUE);
        expect(Math.abs(cosine - Math.cosh(u))).toBeLessThan(3 * WITHIN * Math.cosh(u));
        expect(Math.abs(areaSine(u) - Math.asinh(u))).toBeLessThan(2 * WITHIN * Math.abs(u) + Number.MIN_VALUE);
      }),
      RUNS,
    );
  });
});
