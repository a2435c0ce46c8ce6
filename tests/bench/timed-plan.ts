import type { Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite, STAGE_IDS, type StageId } from '#geo-core/plan-site.ts';
import { quantile } from './statistics.ts';

/** Seconds of a whole plan, its audit included, and of each of its stages. */
export type PlanTimes = { readonly seconds: number; readonly ofStage: Readonly<Record<StageId, number>> };

export function timedPlan(site: SiteInput, rules: Rules): PlanTimes {
  const ofStage = Object.fromEntries(STAGE_IDS.map((stage) => [stage, 0])) as Record<StageId, number>;
  const startMs = performance.now();
  let lastMs = startMs;
  planSite(site, rules, (stage) => {
    const nowMs = performance.now();
    ofStage[stage] = (nowMs - lastMs) / 1000;
    lastMs = nowMs;
  });
  return { seconds: (performance.now() - startMs) / 1000, ofStage };
}

/** The median over repeats of one plan, of the whole and of each stage by itself. */
export function medianTimes(times: readonly PlanTimes[]): PlanTimes {
  const ofStage = Object.fromEntries(
    STAGE_IDS.map((stage) => [
      stage,
      quantile(
        times.map((each) => each.ofStage[stage]),
        0.5,
      ),
    ]),
  ) as Record<StageId, number>;
  return {
    seconds: quantile(
      times.map(({ seconds }) => seconds),
      0.5,
    ),
    ofStage,
  };
}
