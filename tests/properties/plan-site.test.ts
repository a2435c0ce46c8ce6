import fc from 'fast-check';
import { expect, it } from 'vitest';
import { planSite } from '#geo-core/index.ts';
import type { Plan, PlanSummary } from '#geo-core/model/plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { useKernel } from '../support/load-kernel.ts';
import { type Drawing, garden, HOME, messyGarden, siteOf } from './gardens.ts';

/** Invariants of the planner on random gardens: the same seed every run; PROPERTY_RUNS raises the number of gardens. */
const RUNS = Number(process.env.PROPERTY_RUNS ?? 60);
const SEED = 20_240;

useKernel();

const ruleSet: fc.Arbitrary<Rules> = fc.constantFrom(...RULE_SETS);

it('passes its own audit, or a stop says why there is no plan', () => {
  always(fc.oneof(garden, messyGarden), ruleSet, (drawing, rules) => {
    const plan = planSite(siteOf(drawing, HOME), rules);
    expect(explained(plan), failures(plan)).toBe(true);
  });
});

it('never fails its own audit on a garden drawn with care', () => {
  always(garden, ruleSet, (drawing, rules) => {
    const plan = planSite(siteOf(drawing, HOME), rules);
    expect(plan.audit.passed, failures(plan)).toBe(true);
  });
});

it('adds its lengths up exactly', () => {
  always(fc.oneof(garden, messyGarden), ruleSet, (drawing, rules) => {
    const { summary } = planSite(siteOf(drawing, HOME), rules);
    expect(summary.routeLengthM).toBeCloseTo(
      summary.boundaryLengthM + summary.keepOutLengthM + 2 * summary.leadLengthM,
      6,
    );
    expect(summary.workingAreaM2).toBeLessThanOrEqual(summary.lawnAreaM2 + 1e-6);
  });
});

it('mutates nothing that it is given', () => {
  always(messyGarden, ruleSet, (drawing, rules) => {
    const site = deepFrozen(siteOf(drawing, HOME));
    const before = JSON.stringify(site);
    planSite(site, deepFrozen(structuredClone(rules)));
    expect(JSON.stringify(site)).toBe(before);
  });
});

it('gives the same plan twice', () => {
  always(fc.oneof(garden, messyGarden), ruleSet, (drawing, rules) => {
    const site = siteOf(drawing, HOME);
    expect(planSite(site, rules)).toEqual(planSite(site, rules));
  });
});

it('gives the same figures whichever way the garden faces', () => {
  always(garden, fc.integer({ min: 1, max: 359 }), (drawing, turnDeg) => {
    sameFigures(planOf(drawing), planSite(siteOf(drawing, { ...HOME, turnDeg }), RULE_SETS[0]));
  });
});

it('gives the same figures anywhere on earth, across the antimeridian too', () => {
  const place = fc.constantFrom([-68.3, -54.8], [18.9553, 69.6492], [179.9999, -16.8], [-179.9999, 51.9], [103.8, 1.3]);
  always(garden, place, (drawing, [lonDeg, latDeg]) => {
    sameFigures(planOf(drawing), planSite(siteOf(drawing, { lonDeg, latDeg, turnDeg: 0 }), RULE_SETS[0]));
  });
});

it('does not care in which order features come and where rings start', () => {
  const wording = fc.record({ featuresTurnedBy: fc.nat(12), ringsTurnedBy: fc.nat(90) });
  always(garden, wording, (drawing, words) => {
    sameFigures(planOf(drawing), planSite(siteOf(drawing, HOME, words), RULE_SETS[0]));
  });
});

function always<Second>(
  drawings: fc.Arbitrary<Drawing>,
  second: fc.Arbitrary<Second>,
  check: (drawing: Drawing, second: Second) => void,
): void {
  fc.assert(fc.property(drawings, second, check), { seed: SEED, numRuns: RUNS });
}

function planOf(drawing: Drawing): Plan {
  return planSite(siteOf(drawing, HOME), RULE_SETS[0]);
}

function explained({ audit, features, findings }: Plan): boolean {
  const hasRoute = features.some(({ properties }) => properties.kind === 'route');
  return hasRoute ? audit.passed : findings.some(({ severity }) => severity === 'stop');
}

function failures({ audit, findings }: Plan): string {
  const failed = audit.checks
    .filter(({ passed }) => !passed)
    .map(({ code, worst, limit }) => `${code} ${worst}/${limit}`);
  return [...failed, ...findings.map(({ code, severity }) => `${severity} ${code}`)].join(', ');
}

/**
 * Figures that follow from the shape alone. Rounding to the grid (0.01 mm) and where the chords of an arc start (1 mm) may
 * move a length by millimetres a corner; a place of the station is a choice, so leads and cable are left out.
 */
const SHAPE_FIGURES = [
  'lawnAreaM2',
  'workingAreaM2',
  'boundaryLengthM',
  'keepOutLengthM',
] as const satisfies readonly (keyof PlanSummary)[];

function sameFigures(one: Plan, other: Plan): void {
  for (const figure of SHAPE_FIGURES)
    expect(Math.abs(one.summary[figure] - other.summary[figure]), figure).toBeLessThan(
      0.002 * (1 + one.summary[figure]),
    );
  expect(other.summary.zoneCount).toBe(one.summary.zoneCount);
}

function deepFrozen<T>(value: T): T {
  if (value !== null && typeof value === 'object' && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const each of Object.values(value)) deepFrozen(each);
  }
  return value;
}
