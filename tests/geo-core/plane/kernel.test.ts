import { Clipper, FillRule } from 'clipper2-ts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const GRID_M = 1e-5;
const metre = fc.integer({ min: -2_000_000, max: 2_000_000 }).map((units) => units * GRID_M);
const ring = fc
  .array(fc.tuple(metre, metre), { minLength: 3, maxLength: 24 })
  .map((xy): Ring => Float64Array.from(xy.flat()));

const areaM2 = (rings: readonly Ring[]) => rings.reduce((sum, each) => sum + ringAreaM2(each), 0);
const paths = (rings: readonly Ring[]) =>
  rings.map((each) =>
    Array.from({ length: each.length / 2 }, (_, i) => ({
      x: Math.round(each[2 * i] / GRID_M),
      y: Math.round(each[2 * i + 1] / GRID_M),
    })),
  );
const pathsAreaM2 = (list: { x: number; y: number }[][]) => Clipper.areaPaths(list) * GRID_M * GRID_M;

describe('kernel', () => {
  it('gives the areas that a second implementation gives, for outlines that cross themselves at will', () => {
    fc.assert(
      fc.property(ring, ring, (a, b) => {
        const own = kernel();
        const [pa, pb] = [paths([a]), paths([b])];
        const pairs: [number, number][] = [
          [areaM2(own.evenOdd([a, b], GRID_M)), pathsAreaM2(Clipper.union([...pa, ...pb], FillRule.EvenOdd))],
          [areaM2(own.positiveUnion([a, b], GRID_M)), pathsAreaM2(Clipper.union([...pa, ...pb], FillRule.Positive))],
          [areaM2(own.difference([a], [b], GRID_M)), pathsAreaM2(Clipper.difference(pa, pb, FillRule.NonZero))],
          [areaM2(own.intersection([a], [b], GRID_M)), pathsAreaM2(Clipper.intersect(pa, pb, FillRule.NonZero))],
        ];
        for (const [mine, other] of pairs) expect(Math.abs(mine - other)).toBeLessThan(0.01);
      }),
      { seed: 20240, numRuns: 300 },
    );
  });

  it('grows a square of 10 m by 1 m to its Steiner area: 100 + 40 + pi m², chords within 0.25 mm', () => {
    const square = Float64Array.of(0, 0, 10, 0, 10, 10, 0, 10);
    const grownM2 = areaM2(kernel().offset([square], 1, GRID_M));
    expect(grownM2).toBeLessThanOrEqual(140 + Math.PI);
    expect(grownM2).toBeGreaterThan(140 + Math.PI - (2 / 3) * 0.000_25 * 2 * Math.PI * 1.01);
  });

  it('cuts and shrinks a comb of 1,500 teeth lying as it does standing', () => {
    const [teeth, pitchM, toothM] = [1500, 0.5, 0.25];
    const xy = [0, 0, teeth * pitchM, 0];
    for (let k = teeth - 1; k >= 0; k--) {
      const [right, left] = [k * pitchM + toothM, k * pitchM];
      xy.push(right, 1, right, 2, left, 2, left, 1);
    }
    const lying = Float64Array.from(xy.slice(0, 4).concat(teeth * pitchM, 1, xy.slice(4)));
    const above = Float64Array.of(-1, 1.5, 1000, 1.5, 1000, 3, -1, 3);
    const toTheLeft = (each: Ring): Ring => each.map((_, i) => (i % 2 === 0 ? 0 - each[i + 1] : each[i - 1]));
    const cut = kernel().difference([lying], [above], GRID_M);
    expect(areaM2(cut)).toBeCloseTo(teeth * (pitchM + toothM / 2), 6);
    expect(cut.map(toTheLeft)).toEqual(kernel().difference([toTheLeft(lying)], [toTheLeft(above)], GRID_M));
    const shrunk = kernel().offset([lying], -0.05, GRID_M, 'mitre');
    expect(shrunk.map(toTheLeft)).toEqual(kernel().offset([toTheLeft(lying)], -0.05, GRID_M, 'mitre'));
  });

  it('leaves nothing of ten thousand calls behind: the rings come out the same at the end as at the start', () => {
    const [a, b] = [Float64Array.of(0, 0, 9, 1, 8, 7, 1, 6), Float64Array.of(4, -3, 6, -3, 6, 9, 4, 9)];
    const first = kernel().difference([a], [b], GRID_M);
    for (let i = 0; i < 10_000; i++) kernel().difference([a], [b], GRID_M);
    expect(kernel().difference([a], [b], GRID_M)).toEqual(first);
    expect(first).toHaveLength(2);
  });
});
