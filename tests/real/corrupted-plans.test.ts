import { describe, expect, it } from 'vitest';
import type { AuditInput } from '#geo-core/audit/evidence.ts';
import type { StageId } from '#geo-core/index.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { auditPlan } from '#geo-core/stages/75-audit-plan.ts';
import { auditInputOf } from '../support/audit-input.ts';
import { CORRUPTIONS } from '../support/corruptions.ts';
import { indexOf } from '../support/estate-sites.ts';
import { goldenGarden, goldenRules } from '../support/golden-garden.ts';
import { useKernel } from '../support/load-kernel.ts';
import { planFixture } from '../support/plan-estate.ts';

/** Correct plans, by hand and by the planner, spoiled in one way after another: each is caught by the check that is there for it. */
const LEAST_WAYS = 25;

useKernel();

describe('a plan spoiled on purpose is caught', () => {
  it('in the golden garden, written down by hand', () => {
    const outcome = missed(goldenGarden(), goldenRules);
    expect(outcome.missed).toEqual([]);
    expect(outcome.ways).toBeGreaterThanOrEqual(LEAST_WAYS);
  });

  it.each(indexOf('estate'))('in $title', async (entry) => {
    const stages = new Map<StageId, unknown>();
    const { plan } = await planFixture('estate', entry, (stage, output) => stages.set(stage, output));
    expect(plan.audit.passed).toBe(true);
    const outcome = missed(auditInputOf(stages), plan.rules);
    expect(outcome.missed).toEqual([]);
    expect(outcome.ways).toBeGreaterThanOrEqual(LEAST_WAYS);
  });
});

function missed(plan: AuditInput, rules: Rules): { readonly missed: readonly string[]; readonly ways: number } {
  const outcomes = CORRUPTIONS.flatMap(({ what, caughtBy, spoil }) => {
    const spoiled = spoil(plan, rules);
    if (spoiled === undefined) return [];
    const { checks } = auditPlan(spoiled, rules).output;
    const isCaught = checks.some(({ code, passed }) => code === caughtBy && !passed);
    return [isCaught ? undefined : `${what}, by ${caughtBy}`];
  });
  return { missed: outcomes.filter((each) => each !== undefined), ways: outcomes.length };
}
