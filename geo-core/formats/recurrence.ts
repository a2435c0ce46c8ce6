/** Days of the week as RFC 5545 writes them, Monday first. */
export const WEEKDAYS = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU'] as const;
type Weekday = (typeof WEEKDAYS)[number];

/** The daily and weekly recurrence rules of RFC 5545, 3.3.10; `until` is a local date and time as `DTSTART` is. */
export type Recurrence = {
  readonly frequency: 'DAILY' | 'WEEKLY';
  readonly interval?: number;
  readonly count?: number;
  /** Local 'YYYYMMDDTHHMMSS'; the last occurrence may fall on it. */
  readonly until?: string;
  readonly weekStart?: Weekday;
  readonly byDay?: readonly Weekday[];
  /** Months that count, 1 January. */
  readonly byMonth?: readonly number[];
};

const DAY_MS = 86_400_000;

/** `FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH` */
export function recurrenceText({ frequency, interval, count, until, weekStart, byDay, byMonth }: Recurrence): string {
  return [
    `FREQ=${frequency}`,
    interval !== undefined && `INTERVAL=${interval}`,
    count !== undefined && `COUNT=${count}`,
    until !== undefined && `UNTIL=${until}`,
    weekStart !== undefined && `WKST=${weekStart}`,
    byMonth !== undefined && `BYMONTH=${byMonth.join(',')}`,
    byDay !== undefined && `BYDAY=${byDay.join(',')}`,
  ]
    .filter((part) => part !== false)
    .join(';');
}

/**
 * Local starts 'YYYYMMDDTHHMMSS' of a rule from `start` on, in order. All are at the clock time of `start`: local time does
 * not know of daylight saving. Stops at `count` or `until`; a rule without either goes on for as long as it is asked.
 */
export function* occurrences(start: string, rule: Recurrence): Generator<string> {
  const clock = start.slice(8);
  const firstDay = dayNumber(start);
  const interval = rule.interval ?? 1;
  const weekStart = WEEKDAYS.indexOf(rule.weekStart ?? 'MO');
  const days = rule.byDay ?? (rule.frequency === 'WEEKLY' ? [weekdayOf(firstDay)] : WEEKDAYS);
  const months = rule.byMonth?.map((month) => String(month).padStart(2, '0'));
  if (days.length === 0 || months?.length === 0) return;
  let given = 0;
  for (let day = firstDay; given < (rule.count ?? Number.POSITIVE_INFINITY); day++) {
    const text = `${dayText(day)}${clock}`;
    if (rule.until !== undefined && text > rule.until) return;
    const periods = rule.frequency === 'DAILY' ? day - firstDay : week(day, weekStart) - week(firstDay, weekStart);
    if (periods % interval !== 0 || !days.includes(weekdayOf(day))) continue;
    if (months !== undefined && !months.includes(text.slice(4, 6))) continue;
    given++;
    yield text;
  }
}

/** Days since 1970-01-01, a Thursday. */
function dayNumber(date: string): number {
  return Date.UTC(Number(date.slice(0, 4)), Number(date.slice(4, 6)) - 1, Number(date.slice(6, 8))) / DAY_MS;
}

function dayText(day: number): string {
  return new Date(day * DAY_MS).toISOString().slice(0, 10).replaceAll('-', '');
}

function weekdayOf(day: number): Weekday {
  return WEEKDAYS[(((day + 3) % 7) + 7) % 7];
}

/** Number of the week that holds a day, weeks beginning on weekday `weekStart` (0 Monday). */
function week(day: number, weekStart: number): number {
  return Math.floor((day + 3 - weekStart) / 7);
}
