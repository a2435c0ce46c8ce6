import type { CarryTime, ScheduleEntry } from '#geo-core/model/plane-plan.ts';
import { clockText, type MinuteSpan, minutesOfDay } from './mowing-windows.ts';

export type CarriedZone = { readonly zone: string; readonly mowingH: number };

/**
 * When somebody carries the machine to zones that it does not reach: one battery a time (there is no station there), as many times a week
 * as the zone takes, each on the day with most time left in its windows, from the end of what is planned that day. Times that no day
 * holds are left out: their number is `times` less those listed.
 */
export function carryTimes(
  carried: readonly CarriedZone[],
  schedule: readonly ScheduleEntry[],
  windows: readonly (readonly MinuteSpan[])[],
  runMin: number,
): CarryTime[] {
  const busyUntil = windows.map((_, day) =>
    schedule.reduce(
      (latest, entry) => (entry.day === day + 1 ? Math.max(latest, minutesOfDay(entry.to) ?? 0) : latest),
      0,
    ),
  );
  const carries: CarryTime[] = [];
  for (const { zone, mowingH } of carried) {
    const times = Math.max(1, Math.ceil((60 * mowingH) / runMin - 1e-9));
    const eachMin = Math.ceil((60 * mowingH) / times - 1e-9);
    for (let time = 0; time < times; time++) {
      const free = windows.map((spans, day) => lastFree(spans, busyUntil[day]));
      const used = new Set(carries.filter((carry) => carry.zone === zone).map(({ day }) => day - 1));
      const longest = free
        .map((span, day) => ({ span, day }))
        .filter(({ span, day }) => !used.has(day) && span.toMin - span.fromMin >= eachMin)
        .toSorted((a, b) => b.span.toMin - b.span.fromMin - (a.span.toMin - a.span.fromMin) || a.day - b.day)[0];
      if (longest === undefined) break;
      const { span, day } = longest;
      busyUntil[day] = span.fromMin + eachMin;
      carries.push({ zone, day: day + 1, from: clockText(span.fromMin), to: clockText(span.fromMin + eachMin) });
    }
  }
  return carries.toSorted((a, b) => a.day - b.day || a.from.localeCompare(b.from, 'en'));
}

/** The longest stretch of a day's windows after a minute. */
function lastFree(spans: readonly MinuteSpan[], afterMin: number): MinuteSpan {
  return spans
    .map(({ fromMin, toMin }) => ({ fromMin: Math.max(fromMin, afterMin), toMin }))
    .reduce((best, span) => (span.toMin - span.fromMin > best.toMin - best.fromMin ? span : best), {
      fromMin: 0,
      toMin: 0,
    });
}
