import type { ScheduleEntry, SeasonWeek } from '#geo-core/model/plane-plan.ts';
import type { QuietHours } from '#geo-core/model/site.ts';
import { type DaylightPlace, dayWindow } from './daylight.ts';
import type { GrowthCurve } from './growth-curve.ts';
import { mowingWindows, WHOLE_DAY } from './mowing-windows.ts';
import { weekSchedule, type ZoneHours } from './week-schedule.ts';

export type SeasonWeeksInput = {
  /** Hours by the clock in a week of full growth, each zone that the machine reaches. */
  readonly zoneHours: readonly ZoneHours[];
  readonly growth: GrowthCurve;
  /** Quiet hours, and hours of sprinklers with the time to dry. */
  readonly quiet: readonly QuietHours[];
  readonly place: DaylightPlace;
  readonly daylightOnly: boolean;
  readonly sunClearMin: number;
  readonly sessions: number;
  readonly edgeLaps: number;
};

/** The week of every month in which grass grows; months that are alike are one season. */
export function seasonWeeks(input: SeasonWeeksInput): SeasonWeek[] {
  const { zoneHours, growth, quiet, place, daylightOnly, sunClearMin, sessions, edgeLaps } = input;
  const seasons = new Map<string, SeasonWeek>();
  for (const [month, growthShare] of growth.shares.entries()) {
    if (!(growthShare > 0)) continue;
    const light = daylightOnly ? dayWindow(month, place, sunClearMin) : WHOLE_DAY;
    const windows = mowingWindows(quiet, light ?? { fromMin: 0, toMin: 0 });
    const hours = zoneHours.map((zone) => ({ ...zone, hours: zone.hours * growthShare }));
    const schedule = withEdgeLaps(weekSchedule(hours, windows, sessions * growthShare), edgeLaps);
    const week = {
      growthShare,
      hoursPerWeek: hours.reduce((sum, each) => sum + each.hours, 0),
      windowH: windows.flat().reduce((sum, { fromMin, toMin }) => sum + (toMin - fromMin) / 60, 0),
      schedule,
    };
    const key = JSON.stringify([growthShare, schedule]);
    const alike = seasons.get(key);
    const windowH = Math.min(week.windowH, alike?.windowH ?? week.windowH);
    seasons.set(key, { ...week, windowH, months: [...(alike?.months ?? []), month + 1] });
  }
  return [...seasons.values()];
}

/** The first entry of every zone on so many days, evenly apart, begins with a lap along the edge. */
function withEdgeLaps(schedule: readonly ScheduleEntry[], laps: number): ScheduleEntry[] {
  const days = [...new Set(schedule.map(({ day }) => day))];
  const count = Math.min(days.length, Math.round(laps));
  const lapDays = new Set(Array.from({ length: count }, (_, k) => days[Math.floor((k * days.length) / count)]));
  const begun = new Set<string>();
  return schedule.map((entry) => {
    const key = `${entry.zone} ${entry.day}`;
    if (!lapDays.has(entry.day) || begun.has(key)) return entry;
    begun.add(key);
    return { ...entry, edgeLap: true };
  });
}
