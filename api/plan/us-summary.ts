import { FOOT_M } from '#geo-core/model/foot.ts';
import type { PlanSummary } from '#geo-core/model/plan.ts';

/** An acre is 43,560 square feet. */
const FEET2_PER_ACRE = 43_560;

/** The summary's lengths in feet and areas in square feet and acres, for people; all other figures have no other unit. */
export function usSummary(summary: PlanSummary) {
  const feet = (metres: number) => rounded(metres / FOOT_M, 2);
  const feet2 = (m2: number) => rounded(m2 / (FOOT_M * FOOT_M), 1);
  const acres = (m2: number) => rounded(m2 / (FOOT_M * FOOT_M) / FEET2_PER_ACRE, 4);
  return {
    lawnAreaFt2: feet2(summary.lawnAreaM2),
    lawnAreaAcre: acres(summary.lawnAreaM2),
    workingAreaFt2: feet2(summary.workingAreaM2),
    workingAreaAcre: acres(summary.workingAreaM2),
    routeLengthFt: feet(summary.routeLengthM),
    boundaryLengthFt: feet(summary.boundaryLengthM),
    keepOutLengthFt: feet(summary.keepOutLengthM),
    leadLengthFt: feet(summary.leadLengthM),
    reachableAreaFt2: feet2(summary.reachableAreaM2),
    narrowPassageAreaFt2: feet2(summary.narrowPassageAreaM2),
    isolatedAreaFt2: feet2(summary.isolatedAreaM2),
    handMowAreaFt2: feet2(summary.handMowAreaM2),
  };
}

function rounded(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}
