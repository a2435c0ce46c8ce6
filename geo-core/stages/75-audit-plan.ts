import { checkAmountsAddUp } from '#geo-core/audit/check-amounts-add-up.ts';
import { checkFieldSign } from '#geo-core/audit/check-field-sign.ts';
import { checkKeepOutKept } from '#geo-core/audit/check-keep-out-kept.ts';
import { checkLeadsOpposite } from '#geo-core/audit/check-leads-opposite.ts';
import { checkLengthsAddUp } from '#geo-core/audit/check-lengths-add-up.ts';
import { checkNoCrossing } from '#geo-core/audit/check-no-crossing.ts';
import { checkOffNoWireGround } from '#geo-core/audit/check-off-no-wire-ground.ts';
import { checkOffsetKept } from '#geo-core/audit/check-offset-kept.ts';
import { checkOnLawn } from '#geo-core/audit/check-on-lawn.ts';
import { checkPegSpacing } from '#geo-core/audit/check-peg-spacing.ts';
import { checkPegsOnRoute } from '#geo-core/audit/check-pegs-on-route.ts';
import { checkQuantitiesAddUp } from '#geo-core/audit/check-quantities-add-up.ts';
import { checkRouteClosed } from '#geo-core/audit/check-route-closed.ts';
import { checkRouteStartsAtStation } from '#geo-core/audit/check-route-starts-at-station.ts';
import { checkSpoolsCover } from '#geo-core/audit/check-spools-cover.ts';
import { checkWinding } from '#geo-core/audit/check-winding.ts';
import { checkWiresApart } from '#geo-core/audit/check-wires-apart.ts';
import { type AuditInput, gatherEvidence } from '#geo-core/audit/evidence.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { Audit, AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';

export type { AuditInput } from '#geo-core/audit/evidence.ts';

/** In the order of the report. A new check is a file and a line here. */
const CHECKS = [
  checkRouteClosed,
  checkRouteStartsAtStation,
  checkOnLawn,
  checkOffNoWireGround,
  checkOffsetKept,
  checkKeepOutKept,
  checkWinding,
  checkFieldSign,
  checkLeadsOpposite,
  checkWiresApart,
  checkNoCrossing,
  checkLengthsAddUp,
  checkPegsOnRoute,
  checkPegSpacing,
  checkSpoolsCover,
  checkQuantitiesAddUp,
  checkAmountsAddUp,
];

/**
 * The plan's own proof: measures the finished plan by independent means. It shares no code with the planner but the
 * segment and length primitives, so an error of the planner cannot hide itself here. Each check's `worst` is how far the
 * plan strays in `unit`, and it passes up to `limit`. Every failed check is a stop with its evidence.
 */
export function auditPlan(input: AuditInput, rules: Rules): Staged<Audit> {
  const evidence = gatherEvidence(input, rules);
  const checks = CHECKS.map((check) => check(evidence));
  const failed = checks.filter((check) => !check.passed);
  return { output: { passed: failed.length === 0, checks }, findings: failed.map(auditFailed) };
}

function auditFailed({ code, worst, limit, unit, at }: AuditCheck): Finding {
  return {
    code: 'audit-plan.failed',
    severity: 'stop',
    message: `The finished plan does not pass its check '${code}': off by ${Number(worst.toPrecision(3))} ${unit}, allowed ${limit} ${unit}.`,
    advice: 'Do not lay this plan. The fault is in the planning, not in the garden: report the site with this finding.',
    value: worst,
    limit,
    unit,
    subject: code,
    ...(at && { at }),
  };
}
