import type { SlopeSurvey } from '#geo-core/model/plane-plan.ts';

/** A stretch of an edge (0 at its start, 1 at its end) along which the ground leaves off: how far down (negative) or up, metres, at most. */
export type GroundStep = {
  readonly from: number;
  readonly to: number;
  readonly beyond: 'drop' | 'step-down' | 'step-up';
  readonly stepM: number;
};

/** A wheel that goes over less than this comes back; what is deeper than a drop does not. Common practice, no source. */
const STEP_M = 0.15;
const DROP_M = 0.5;
/** Shorter stretches are noise of the survey, metres. */
const LEAST_STRETCH_M = 1;
const LEAST_APART_M = 0.5;
/** So many standard deviations of single heights: two heights and the slope inside make 1.6 of them, and two places in a row are asked. */
const SURE_DEVIATIONS = 6;

/**
 * Steps of the ground along an edge of the lawn, from the heights on both sides of it: the ground a cell outside is compared
 * with where the slope felt inside would lead, so that a lawn that falls evenly over its edge has none.
 *
 *     inside ______       edge
 *                  \_______|. . . . .  where the slope leads
 *                          |
 *                          |________  the ground: step-down, drop
 *
 * The edge runs from a to b with the lawn on its left. What is not known is no step.
 */
export function edgeSteps(ax: number, ay: number, bx: number, by: number, survey: SlopeSurvey): GroundStep[] {
  const [dx, dy] = [bx - ax, by - ay];
  const edgeM = Math.sqrt(dx * dx + dy * dy);
  if (edgeM < LEAST_STRETCH_M) return [];
  const stepM = Math.max(LEAST_APART_M, survey.cellM);
  const count = Math.max(2, Math.floor(edgeM / stepM));
  const leastM = Math.max(STEP_M, SURE_DEVIATIONS * survey.noiseM);
  const found: { from: number; to: number; beyond: GroundStep['beyond']; stepM: number; last: number }[] = [];
  for (let k = 0; k < count; k++) {
    const t = (k + 0.5) / count;
    const riseM = stepAcrossM(ax + t * dx, ay + t * dy, dy / edgeM, -dx / edgeM, stepM, survey);
    if (!(Math.abs(riseM) >= leastM)) continue;
    const beyond = riseM > 0 ? 'step-up' : riseM <= -DROP_M ? 'drop' : 'step-down';
    const open = found[found.length - 1];
    const goesOn = open !== undefined && open.last === k - 1 && (open.beyond === 'step-up') === (beyond === 'step-up');
    if (!goesOn) found.push({ from: k / count, to: (k + 1) / count, beyond, stepM: riseM, last: k });
    else {
      open.to = (k + 1) / count;
      open.last = k;
      if (Math.abs(riseM) > Math.abs(open.stepM)) open.stepM = riseM;
      if (beyond === 'drop') open.beyond = 'drop';
    }
  }
  return found
    .filter(({ from, to }) => (to - from) * edgeM >= LEAST_STRETCH_M)
    .map(({ from, to, beyond, stepM: most }) => ({ from, to, beyond, stepM: most }));
}

/** Height a step outside minus where the slope a step inside leads, metres; NaN where not known. */
function stepAcrossM(x: number, y: number, outX: number, outY: number, stepM: number, survey: SlopeSurvey): number {
  const [inX, inY] = [x - stepM * outX, y - stepM * outY];
  const rise = survey.riseAt(x - 1.5 * stepM * outX, y - 1.5 * stepM * outY);
  const ledToM = survey.heightAtM(inX, inY) + 2 * stepM * (rise.x * outX + rise.y * outY);
  return survey.heightAtM(x + stepM * outX, y + stepM * outY) - ledToM;
}
