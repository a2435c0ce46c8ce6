import { expect, it } from 'vitest';
import { planSite } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { useKernel } from '../support/load-kernel.ts';
import { siteOf } from './drawing.ts';
import { anyGarden, anyRules, placement } from './gardens.ts';
import { contradictionsOf } from './measure-again.ts';
import { trespassesOf } from './measure-on-site.ts';
import { CASES, everyCase, LIMIT_MS } from './run-properties.ts';

useKernel();

/** So many gardens of a thousand may be stopped by their own audit: each is a fault of the planner that the audit caught. */
const STOPPED_PER_THOUSAND = 1;

/** Any garden, any rules, anywhere on earth: planned with proof, or a stop that says why not; everything measured again from the GeoJSON. */
it(`plans any garden at all, or says why not: ${CASES.anyGarden} gardens`, { timeout: LIMIT_MS }, () => {
  const stopped: string[] = [];
  everyCase(CASES.anyGarden, [anyGarden, anyRules, placement], (drawing, rules, place) => {
    const site = deepFrozen(siteOf(drawing, place));
    const plan = planSite(site, deepFrozen(rules));
    if (!plan.audit.passed) stopped.push(JSON.stringify({ audit: failedChecks(plan), drawing, rules, place }));
    expect(whyUnproven(plan)).toEqual([]);
    expect(contradictionsOf(plan)).toEqual([]);
    expect(trespassesOf(site, plan, rules, drawing.neat === true)).toEqual([]);
  });
  expect(stopped.length, stopped.slice(0, 3).join('\n')).toBeLessThanOrEqual(
    Math.ceil((STOPPED_PER_THOUSAND * CASES.anyGarden) / 1000),
  );
});

/** A plan has passed its audit; where there is none, a stop says why. */
function whyUnproven(plan: Plan): readonly string[] {
  if (plan.features.some(({ properties }) => properties.kind === 'route')) return failedChecks(plan);
  return plan.findings.some(({ severity }) => severity === 'stop') ? [] : ['neither a plan nor a reason'];
}

function failedChecks({ audit }: Plan): readonly string[] {
  return audit.checks.flatMap(({ passed, code, worst, limit }) => (passed ? [] : `${code} ${worst}/${limit}`));
}

/** A change of what is frozen throws. Typed arrays cannot be frozen. */
function deepFrozen<T>(value: T): T {
  if (value !== null && typeof value === 'object' && !Object.isFrozen(value) && !ArrayBuffer.isView(value)) {
    Object.freeze(value);
    for (const each of Object.values(value)) deepFrozen(each);
  }
  return value;
}
