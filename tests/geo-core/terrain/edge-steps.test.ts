import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { edgeSteps } from '#geo-core/terrain/edge-steps.ts';
import { seededNormal } from '../../support/seeded-normal.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

/** An edge of 20 m along y = 0 with the lawn on its north (left of it going east); ground off by a step over the half metre beyond it. */
const along = (stepM: (x: number) => number, tilt = 0, noiseM = 0) =>
  edgeSteps(
    0,
    0,
    20,
    0,
    slopeSurveyOf((x, y) => 10 + tilt * y + Math.min(1, Math.max(0, -y / 0.4)) * stepM(x), { noiseM }),
  );

describe('steps of the ground along an edge', () => {
  it.each([
    [-0.8, 'drop'],
    [-0.3, 'step-down'],
    [0.3, 'step-up'],
  ] as const)('of %d m are a %s', (stepM, beyond) => {
    const [found, ...others] = along(() => stepM);
    expect(others).toEqual([]);
    expect(found).toMatchObject({ from: 0, to: 1, beyond });
    expect(found.stepM).toBeCloseTo(stepM, 9);
  });

  it('are none where the lawn falls evenly over its edge, however steep', () => {
    fc.assert(
      fc.property(fc.double({ min: -0.6, max: 0.6, noNaN: true }), (tilt) => {
        expect(along(() => 0, tilt)).toEqual([]);
      }),
      { numRuns: 50, seed: 25 },
    );
  });

  it('are found where they are, to half a metre', () => {
    const [found, ...others] = along((x) => (x > 5 && x < 12 ? -0.7 : 0));
    expect(others).toEqual([]);
    expect(Math.abs(20 * found.from - 5)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(20 * found.to - 12)).toBeLessThanOrEqual(0.5);
  });

  it('shorter than a metre, or as low as a wheel comes back from, are none', () => {
    expect(along((x) => (Math.abs(x - 5) < 0.2 ? -0.7 : 0))).toEqual([]);
    expect(along(() => -0.1)).toEqual([]);
  });

  it('are not taken from noise: heights that scatter by 5 cm on level ground show none on a hundred edges', () => {
    const random = seededNormal(17);
    // A rise by the plane through 3 x 3 heights half a metre apart scatters by 0.05 / (0.5 x sqrt 6).
    const riseAt = () => ({ x: 0.041 * random(), y: 0.041 * random() });
    const rough = () => slopeSurveyOf(() => 10 + 0.05 * random(), { noiseM: 0.05, riseAt });
    const found = Array.from({ length: 100 }, () => edgeSteps(0, 0, 20, 0, rough())).flat();
    expect(found).toEqual([]);
    expect(along(() => -0.7, 0, 0.05)).toMatchObject([{ beyond: 'drop' }]);
  });

  it('are not told where heights are not known', () => {
    expect(
      edgeSteps(
        0,
        0,
        20,
        0,
        slopeSurveyOf((_, y) => (y < 0 ? Number.NaN : 10)),
      ),
    ).toEqual([]);
  });
});
