import { checkAmountsAddUp } from '#geo-core/audit/check-amounts-add-up.ts';
import { checkAreasAddUp } from '#geo-core/audit/check-areas-add-up.ts';
import { checkFieldSign } from '#geo-core/audit/check-field-sign.ts';
import { checkKeepOutKept } from '#geo-core/audit/check-keep-out-kept.ts';
import { checkLeadsOpposite } from '#geo-core/audit/check-leads-opposite.ts';
import { checkLengthsAddUp } from '#geo-core/audit/check-lengths-add-up.ts';
import { checkNoCrossing } from '#geo-core/audit/check-no-crossing.ts';
import { checkOffNoWireGround } from '#geo-core/audit/check-off-no-wire-ground.ts';
import { checkOffsetKept } from '#geo-core/audit/check-offset-kept.ts';
import { checkOnGivenGround } from '#geo-core/audit/check-on-given-ground.ts';
import { checkOnLawn } from '#geo-core/audit/check-on-lawn.ts';
import { checkPegSpacing } from '#geo-core/audit/check-peg-spacing.ts';
import { checkPegsHoldLine } from '#geo-core/audit/check-pegs-hold-line.ts';
import { checkPegsOnRoute } from '#geo-core/audit/check-pegs-on-route.ts';
import { checkPiecesAddUp } from '#geo-core/audit/check-pieces-add-up.ts';
import { checkQuantitiesAddUp } from '#geo-core/audit/check-quantities-add-up.ts';
import { checkRouteClosed } from '#geo-core/audit/check-route-closed.ts';
import { checkRouteStartsAtStation } from '#geo-core/audit/check-route-starts-at-station.ts';
import { checkSpoolsCover } from '#geo-core/audit/check-spools-cover.ts';
import { checkTurnsDrivable } from '#geo-core/audit/check-turns-drivable.ts';
import { checkWinding } from '#geo-core/audit/check-winding.ts';
import { checkWiresApart } from '#geo-core/audit/check-wires-apart.ts';
import { type AuditInput, gatherEvidence } from '#geo-core/audit/evidence.ts';
import { counted } from '#geo-core/model/counted.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { Audit, AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';

export type { AuditInput } from '#geo-core/audit/evidence.ts';

/** In the order of the report. A new check is a file and a line here. */
const CHECKS = [
  checkRouteClosed,
  checkRouteStartsAtStation,
  checkOnLawn,
  checkOnGivenGround,
  checkOffNoWireGround,
  checkOffsetKept,
  checkKeepOutKept,
  checkWinding,
  checkFieldSign,
  checkLeadsOpposite,
  checkWiresApart,
  checkNoCrossing,
  checkTurnsDrivable,
  checkLengthsAddUp,
  checkAreasAddUp,
  checkPegsOnRoute,
  checkPegSpacing,
  checkPegsHoldLine,
  checkSpoolsCover,
  checkQuantitiesAddUp,
  checkPiecesAddUp,
  checkAmountsAddUp,
];

/**
 * The plan's own proof: measures the finished plan by independent means. It shares no code with the planner but the
 * segment and length primitives, so an error of the planner cannot hide itself here. Each check's `worst` is how far the
 * plan strays in `unit`, and it passes up to `limit`. Whatever fails is one stop; the evidence stands in the checks.
 */
export function auditPlan(input: AuditInput, rules: Rules): Staged<Audit> {
  const evidence = gatherEvidence(input, rules);
  const checks = CHECKS.map((check) => check(evidence));
  const failed = checks.filter((check) => !check.passed);
  return {
    output: { passed: failed.length === 0, checks },
    findings: failed.length === 0 ? [] : [auditFailed(failed, adviceOn(failed, input))],
  };
}

function auditFailed(failed: readonly AuditCheck[], advice: string): Finding {
  const [{ worst, limit, unit, at }] = failed;
  return {
    code: 'audit-plan.failed',
    severity: 'stop',
    message: `The finished plan does not pass ${counted(failed.length, 'check')} of its audit: ${failed.map(evidenceOf).join('; ')}.`,
    advice,
    value: worst,
    limit,
    unit,
    ...(at && { at }),
  };
}

function evidenceOf({ code, worst, limit, unit }: AuditCheck): string {
  const figure = (value: number): string => (unit === '1' ? `${value}` : `${value} ${unit}`);
  return `${code.replaceAll('-', ' ')} (off by ${figure(Number(worst.toPrecision(3)))}, allowed ${figure(limit)})`;
}

/** Whose fault it is: of a loop that stage 50 could not join, of ground where nothing may be laid, or of the planner. */
function adviceOn(failed: readonly AuditCheck[], { loops, route }: AuditInput): string {
  const laid = new Set(route.routes.flatMap(({ spans }) => spans.map(({ id }) => id)));
  if (loops.loops.some(({ id }) => !laid.has(id))) {
    return 'Do not lay this plan. It lacks the loops that could not be joined: settle those first.';
  }
  if (failed.some(({ code }) => code === 'off-no-wire-ground')) {
    return 'Do not lay this plan. Keep the lawn clear of the ground where nothing may be laid, or have that ground released for the wire.';
  }
  return 'Do not lay this plan. The fault is in the planning, not in the garden: report the site with this finding.';
}
