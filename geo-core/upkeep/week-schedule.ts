import type { ScheduleEntry } from '#geo-core/model/plane-plan.ts';
import { clockText, type MinuteSpan } from './mowing-windows.ts';

export type ZoneHours = { readonly zone: string; readonly hours: number };

/**
 * Spreads the hours of zones over a week. `windows[0..6]` are the parts of Monday to Sunday when mowing is allowed; `sessions` is how
 * many days it should take (more are taken where the windows are short), evenly apart. Every chosen day carries an equal share as far
 * as its windows allow, and every zone its share of every such day, one after the other. What does not fit is left out: compare
 * `hours` with the length of the windows.
 */
export function weekSchedule(
  zones: readonly ZoneHours[],
  windows: readonly MinuteSpan[][],
  sessions: number,
): ScheduleEntry[] {
  const minutes = zones.map(({ hours }) => Math.ceil(hours * 60 - 1e-9));
  const totalMin = minutes.reduce((sum, own) => sum + own, 0);
  const capacityMin = windows.map((spans) => spans.reduce((sum, { fromMin, toMin }) => sum + toMin - fromMin, 0));
  const quotas = shareOut(totalMin, chooseDays(capacityMin, totalMin, sessions), capacityMin);
  return [...quotas].flatMap(([day, quotaMin]) => {
    let before = 0;
    let usedMin = 0;
    return zones.flatMap(({ zone }, i) => {
      before += minutes[i];
      const untilMin = Math.round((quotaMin * before) / totalMin);
      const spans = takeMinutes(windows[day], usedMin, untilMin);
      usedMin = untilMin;
      return spans.map(({ fromMin, toMin }) => ({
        zone,
        day: day + 1,
        from: clockText(fromMin),
        to: clockText(toMin),
      }));
    });
  });
}

/** The fewest days, evenly apart and at least `sessions`, whose windows hold `totalMin`; all usable days where none do. */
function chooseDays(capacityMin: readonly number[], totalMin: number, sessions: number): number[] {
  const usable = capacityMin.flatMap((minutes, day) => (minutes > 0 ? [day] : []));
  for (let count = Math.max(1, Math.ceil(sessions)); count < usable.length; count++) {
    const days = Array.from({ length: count }, (_, k) => usable[Math.floor((k * usable.length) / count)]);
    if (days.reduce((sum, day) => sum + capacityMin[day], 0) >= totalMin) return days;
  }
  return usable;
}

/** Whole minutes for each day, equal as far as the windows allow: the shortest day is filled first. */
function shareOut(totalMin: number, days: readonly number[], capacityMin: readonly number[]): Map<number, number> {
  const quotas = new Map<number, number>();
  let leftMin = totalMin;
  days
    .toSorted((a, b) => capacityMin[a] - capacityMin[b] || a - b)
    .forEach((day, i) => {
      const quotaMin = Math.min(capacityMin[day], Math.ceil(leftMin / (days.length - i)));
      quotas.set(day, quotaMin);
      leftMin -= quotaMin;
    });
  return new Map([...quotas].filter(([, quotaMin]) => quotaMin > 0).toSorted(([a], [b]) => a - b));
}

/** The part of a day's windows between two counts of minutes since their start. */
function takeMinutes(windows: readonly MinuteSpan[], sinceMin: number, untilMin: number): MinuteSpan[] {
  const spans: MinuteSpan[] = [];
  let passedMin = 0;
  for (const window of windows) {
    const fromMin = window.fromMin + Math.max(0, sinceMin - passedMin);
    const toMin = Math.min(window.toMin, window.fromMin + untilMin - passedMin);
    if (toMin > fromMin) spans.push({ fromMin, toMin });
    passedMin += window.toMin - window.fromMin;
  }
  return spans;
}
