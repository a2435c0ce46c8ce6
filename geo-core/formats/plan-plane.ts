import type { Plan } from '#geo-core/model/plan.ts';
import type { LocalPlane } from '#geo-core/model/position.ts';

/** The local plane in the middle of a plan's box, across 180 degrees too; 0, 0 for a plan without features. */
export function planPlane({ bbox }: Pick<Plan, 'bbox'>): LocalPlane {
  const [west, south, east, north] = bbox ?? [0, 0, 0, 0];
  const middleLonDeg = (west + (east < west ? east + 360 : east)) / 2;
  return {
    originLonDeg: middleLonDeg > 180 ? middleLonDeg - 360 : middleLonDeg,
    originLatDeg: (south + north) / 2,
  };
}
