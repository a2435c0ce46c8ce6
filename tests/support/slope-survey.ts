import type { SlopeSurvey } from '#geo-core/model/plane-plan.ts';

/** A survey of ground whose height is a function of the plane, rises by differences over half a metre. */
export function slopeSurveyOf(
  heightAtM: (x: number, y: number) => number,
  more: Partial<SlopeSurvey> = {},
): SlopeSurvey {
  const step = 0.25;
  const riseAt: SlopeSurvey['riseAt'] = (x, y) => ({
    x: (heightAtM(x + step, y) - heightAtM(x - step, y)) / (2 * step),
    y: (heightAtM(x, y + step) - heightAtM(x, y - step)) / (2 * step),
  });
  const slopeAtPct: SlopeSurvey['slopeAtPct'] = (x, y) => {
    const rise = riseAt(x, y);
    return 100 * Math.sqrt(rise.x * rise.x + rise.y * rise.y);
  };
  return {
    maxSlopePct: 0,
    knownShare: 1,
    steep: [],
    uncertaintyPct: 0,
    noiseM: 0,
    cellM: 0.5,
    riseAt,
    slopeAtPct,
    heightAtM,
    ...more,
  };
}
