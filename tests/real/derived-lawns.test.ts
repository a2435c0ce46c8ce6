import { describe, expect, it } from 'vitest';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { useKernel } from '../support/load-kernel.ts';
import { type LawnOutcome, planRealLawn } from '../support/plan-real-lawn.ts';
import { LAWN_PLACES, readRealLawns } from '../support/real-lawns.ts';

/**
 * Every lawn of the three open registers goes through the whole planner. Reference: area and perimeter on the WGS 84
 * ellipsoid by GeographicLib's Planimeter 2.1.2 from the same positions (fixtures/sites/real/SOURCE.md).
 */
const TOLERANCE = 1e-4;
const CHUNK = 120;

/**
 * Rings that run back along themselves after the rounding to 1e-8 degree (a slit of no width): mending takes the slit
 * away and its length with it. The area stays.
 */
const SLIT_LAWNS = ['luxiol 165', 'otterlo 87', 'otterlo 97'];

useKernel();

describe.each(LAWN_PLACES)('every derived lawn of %s', (place) => {
  const lawns = readRealLawns(place);
  const chunks = Array.from({ length: Math.ceil(lawns.length / CHUNK) }, (_, i) => i * CHUNK);

  it.each(chunks)('measures as the geodesic reference, and is planned or refused with a reason (from %i)', (first) => {
    for (const lawn of lawns.slice(first, first + CHUNK)) {
      const outcome = planRealLawn(lawn, RULE_SETS[0], () => 0);
      expect(relativeError(outcome.areaM2, lawn.geodesicAreaM2), `area of ${lawn.name}`).toBeLessThan(TOLERANCE);
      if (!SLIT_LAWNS.includes(lawn.name))
        expect(relativeError(outcome.perimeterM, lawn.geodesicPerimeterM), `perimeter of ${lawn.name}`).toBeLessThan(
          TOLERANCE,
        );
      expect(verdictOf(outcome), lawn.name).not.toContain('without');
    }
  });
});

function relativeError(value: number, reference: number): number {
  return Math.abs(value - reference) / reference;
}

function verdictOf({ planned, plan, refusedBy }: LawnOutcome): string {
  if (planned) return plan.audit.passed ? 'planned' : `planned without passing its audit: ${failedChecks(plan)}`;
  if (refusedBy.includes('audit-plan.failed')) return `refused without fault of the lawn: ${failedChecks(plan)}`;
  return refusedBy.length > 0 ? 'refused' : 'refused without a reason';
}

function failedChecks(plan: LawnOutcome['plan']): string {
  return plan.audit.checks
    .filter(({ passed }) => !passed)
    .map(({ code, worst, limit, unit }) => `${code} ${worst} against ${limit} ${unit}`)
    .join(', ');
}
