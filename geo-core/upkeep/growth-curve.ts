import type { GrowthInput } from '#geo-core/model/site.ts';
import { growingMonths } from '#geo-core/sun/season-sun.ts';

/** Grass through the year: for each month from January on the share of its strongest growth, and its rate where the user gave one. */
export type GrowthCurve = { readonly shares: readonly number[]; readonly mmPerDay?: readonly number[] };

const YEAR_DAYS = 365;
const MONTH_DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/**
 * The user's growth curve, by months or by points of the year (taken linearly between them, round the end of the year); without one
 * full growth in the growing months of the place and none in the others. No rate of growth is claimed: none was found in a source.
 */
export function growthCurve(growth: GrowthInput | undefined, latDeg: number): GrowthCurve {
  if (growth === undefined) {
    const growing = new Set(growingMonths(latDeg));
    return { shares: MONTH_DAYS.map((_, month) => (growing.has(month) ? 1 : 0)) };
  }
  const mmPerDay = growth.monthsMmPerDay ?? monthsFromPoints(growth.pointsMmPerDay ?? []);
  const most = Math.max(...mmPerDay, 0);
  return { shares: mmPerDay.map((rate) => (most > 0 ? rate / most : 0)), mmPerDay };
}

function monthsFromPoints(points: NonNullable<GrowthInput['pointsMmPerDay']>): number[] {
  const placed = points.map(({ on, mmPerDay }) => ({ day: dayOfYear(on), mmPerDay })).toSorted((a, b) => a.day - b.day);
  return MONTH_DAYS.map((days, month) => {
    const day = MONTH_DAYS.slice(0, month).reduce((sum, each) => sum + each, 0) + days / 2;
    const after = placed.findIndex((point) => point.day >= day);
    const next = placed[after === -1 ? 0 : after];
    const before = placed.at(after === -1 ? -1 : after - 1);
    if (next === undefined || before === undefined) return 0;
    const spanDays = (next.day - before.day + YEAR_DAYS) % YEAR_DAYS;
    const sinceDays = (day - before.day + YEAR_DAYS) % YEAR_DAYS;
    return spanDays === 0
      ? next.mmPerDay
      : before.mmPerDay + ((next.mmPerDay - before.mmPerDay) * sinceDays) / spanDays;
  });
}

/** 'MM-DD' -> days since the year began; the 29th of February is the 1st of March. */
function dayOfYear(on: string): number {
  const [month, day] = on.split('-').map(Number);
  return MONTH_DAYS.slice(0, month - 1).reduce((sum, days) => sum + days, 0) + day - 1;
}
