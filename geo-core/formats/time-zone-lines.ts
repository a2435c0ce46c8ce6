import { clockOffsetMin } from '#geo-core/upkeep/clock-offset.ts';
import { WEEKDAYS } from './recurrence.ts';

const YEAR = 2025;
const DAY_MS = 86_400_000;
const YEAR_DAYS = 365;

/**
 * VTIMEZONE of an IANA zone (RFC 5545, 3.6.5): its clock in 2025 for good, changes on the same weekday of the same month every year. The hour
 * of a change is taken as two in the morning: nobody mows then.
 */
export function timeZoneLines(timeZone: string): string[] {
  const offsets = Array.from({ length: YEAR_DAYS }, (_, day) => clockOffsetMin(timeZone, day));
  const changes = offsets.flatMap((offsetMin, day) => {
    const beforeMin = day === 0 ? offsetMin : offsets[day - 1];
    return offsetMin === beforeMin ? [] : [{ day, beforeMin, offsetMin }];
  });
  const least = Math.min(...offsets);
  const part = (
    name: 'STANDARD' | 'DAYLIGHT',
    start: string,
    beforeMin: number,
    offsetMin: number,
    rule?: string,
  ): string[] => [
    `BEGIN:${name}`,
    `DTSTART:${start}`,
    ...(rule === undefined ? [] : [`RRULE:${rule}`]),
    `TZOFFSETFROM:${offsetText(beforeMin)}`,
    `TZOFFSETTO:${offsetText(offsetMin)}`,
    `END:${name}`,
  ];
  const parts =
    changes.length === 2
      ? changes.flatMap(({ day, beforeMin, offsetMin }) => {
          const date = new Date(Date.UTC(YEAR, 0, 1) + day * DAY_MS);
          const start = `${YEAR - 1}${String(date.getUTCMonth() + 1).padStart(2, '0')}${String(firstOf(date)).padStart(2, '0')}T020000`;
          return part(offsetMin === least ? 'STANDARD' : 'DAYLIGHT', start, beforeMin, offsetMin, yearly(date));
        })
      : part('STANDARD', `${YEAR - 1}0101T000000`, offsets[0], offsets[0]);
  return ['BEGIN:VTIMEZONE', `TZID:${timeZone}`, ...parts, 'END:VTIMEZONE'];
}

function yearly(date: Date): string {
  return `FREQ=YEARLY;BYMONTH=${date.getUTCMonth() + 1};BYDAY=${ordinal(date)}${weekday(date)}`;
}

/** Which of its weekdays in the month a date is, -1 the last. */
function ordinal(date: Date): number {
  const days = new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 0)).getUTCDate();
  return date.getUTCDate() + 7 > days ? -1 : Math.ceil(date.getUTCDate() / 7);
}

function weekday(date: Date): string {
  return WEEKDAYS[(date.getUTCDay() + 6) % 7];
}

/** The day of the month, one year before, on the same weekday in the same place. */
function firstOf(date: Date): number {
  const [year, month] = [YEAR - 1, date.getUTCMonth()];
  const wanted = ordinal(date);
  const days = new Date(Date.UTC(year, month + 1, 0)).getUTCDate();
  const same = Array.from({ length: days }, (_, i) => i + 1).filter(
    (day) => new Date(Date.UTC(year, month, day)).getUTCDay() === date.getUTCDay(),
  );
  return wanted === -1 ? same[same.length - 1] : same[wanted - 1];
}

function offsetText(minutes: number): string {
  const size = Math.abs(minutes);
  return `${minutes < 0 ? '-' : '+'}${String(Math.floor(size / 60)).padStart(2, '0')}${String(size % 60).padStart(2, '0')}`;
}
