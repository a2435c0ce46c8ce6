import type { Plan } from '#geo-core/model/plan.ts';
import { unprojectPlan } from '#geo-core/stages/80-unproject-plan.ts';
import { goldenRules } from './golden-garden.ts';
import { goldenResult } from './golden-result.ts';

/** The golden garden as a plan on the wire, at a place of choice. */
export function goldenPlan(originLonDeg = 8, originLatDeg = 50): Plan {
  const result = goldenResult();
  return unprojectPlan({ ...result, site: { ...result.site, plane: { originLonDeg, originLatDeg } } }, goldenRules)
    .output;
}
