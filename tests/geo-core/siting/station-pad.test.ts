import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hollowM, type Pad, padSlopePct } from '#geo-core/siting/station-pad.ts';
import { seededNormal } from '../../support/seeded-normal.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

const pad: Pad = { at: { x: 3, y: 4 }, ux: 0.6, uy: 0.8, beforeM: 2, behindM: 1 };

describe('the slope of a station and the ground before it', () => {
  it('is that of a plane, whichever way it faces', () => {
    const rises = fc.double({ min: -0.3, max: 0.3, noNaN: true });
    fc.assert(
      fc.property(rises, rises, (gx, gy) => {
        const slopePct = padSlopePct(
          pad,
          slopeSurveyOf((x, y) => 20 + gx * x + gy * y),
        );
        expect(slopePct).toBeCloseTo(100 * Math.sqrt(gx * gx + gy * gy), 6);
      }),
      { numRuns: 100, seed: 451 },
    );
  });

  it('is surer than that of a single place where heights scatter', () => {
    const random = seededNormal(3);
    const slopes = Array.from(
      { length: 200 },
      () =>
        padSlopePct(
          pad,
          slopeSurveyOf(() => 20 + 0.05 * random()),
        ) ?? 0,
    );
    // Single places: 4.1 % a rise (0.05 / (0.5 x sqrt 6)), 5.1 % in the mean of lengths.
    expect(slopes.reduce((sum, slope) => sum + slope, 0) / slopes.length).toBeLessThan(4);
  });

  it('is not known where most heights are missing', () => {
    expect(
      padSlopePct(
        pad,
        slopeSurveyOf((x) => (x > 2 ? Number.NaN : 20)),
      ),
    ).toBeUndefined();
    expect(
      padSlopePct(
        pad,
        slopeSurveyOf(() => Number.NaN),
      ),
    ).toBeUndefined();
  });
});

describe('ground that drains to the station', () => {
  const bowl = (x: number, y: number): number => 0.02 * ((x - 3) ** 2 + (y - 4) ** 2);

  it('holds as much water as the lowest way out is higher', () => {
    expect(hollowM(pad, slopeSurveyOf(bowl))).toBeCloseTo(0.18, 9);
  });

  it('is dry where water finds a way out, and unknown beside ground without heights', () => {
    expect(
      hollowM(
        pad,
        slopeSurveyOf((x, y) => Math.min(bowl(x, y), 0.1 * (4 - y))),
      ),
    ).toBeLessThanOrEqual(0);
    expect(
      hollowM(
        pad,
        slopeSurveyOf((x, y) => (x > 5 ? Number.NaN : bowl(x, y))),
      ),
    ).toBeUndefined();
  });
});
