import type { Plan } from '#geo-core/model/plan.ts';
import type { ScheduleEntry } from '#geo-core/model/plane-plan.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import type { PlanFormat } from './plan-format.ts';
import { occurrences, type Recurrence, recurrenceText, WEEKDAYS } from './recurrence.ts';
import { timeZoneLines } from './time-zone-lines.ts';
import { utf8 } from './utf8.ts';

/** The schedule repeats every week, so any week may be its first: this one began on a Monday with the year. */
const FIRST_WEEK = '20240101';
const LINE_OCTETS = 75;
const ALL_MONTHS = Array.from({ length: 12 }, (_, month) => month + 1);

/**
 * The mowing year as an iCalendar (RFC 5545): the week of every season in its months, laps along the edge and carries said. Hours are
 * those of the site's time zone where it names one, else of the clock wherever it is read.
 */
export const ics: PlanFormat = {
  id: 'ics',
  mediaType: 'text/calendar; charset=utf-8',
  extension: 'ics',
  title: 'iCalendar: mowing schedule',
  write: (plan) =>
    [
      'BEGIN:VCALENDAR',
      'VERSION:2.0',
      'PRODID:-//Loopwright//Mowing schedule//EN',
      'CALSCALE:GREGORIAN',
      ...(plan.upkeep.timeZone === null ? [] : timeZoneLines(plan.upkeep.timeZone)),
      ...weeklyEvents(plan).flatMap((event) => eventLines(plan, event)),
      'END:VCALENDAR',
    ]
      .map((line) => `${folded(line)}\r\n`)
      .join(''),
};

type WeeklyEvent = Pick<ScheduleEntry, 'zone' | 'from' | 'to'> & {
  readonly what: 'Mow' | 'Mow and lap the edge' | 'Carry the machine and mow';
  readonly days: readonly number[];
  /** Undefined all year. */
  readonly months?: readonly number[];
};

/** Entries of one zone at the same hours of one season become one event on several days. */
function weeklyEvents({ schedule, upkeep }: Plan): WeeklyEvent[] {
  const events = new Map<string, WeeklyEvent>();
  const see = (entry: ScheduleEntry, what: WeeklyEvent['what'], months?: readonly number[]): void => {
    const { zone, from, to, day } = entry;
    const key = JSON.stringify([zone, from, to, what, months]);
    const days = [...new Set([...(events.get(key)?.days ?? []), day])].sort((a, b) => a - b);
    events.set(key, { zone, from, to, what, days, ...(months !== undefined && months.length < 12 && { months }) });
  };
  const seasons = upkeep.seasons.length > 0 ? upkeep.seasons : [{ schedule, months: ALL_MONTHS }];
  for (const { schedule: week, months } of seasons)
    for (const entry of week) see(entry, entry.edgeLap === true ? 'Mow and lap the edge' : 'Mow', months);
  const growing = upkeep.seasons.flatMap(({ months }) => months).sort((a, b) => a - b);
  for (const entry of upkeep.carries) see(entry, 'Carry the machine and mow', growing);
  return [...events.values()];
}

function eventLines(plan: Plan, { zone, from, to, days, months, what }: WeeklyEvent): string[] {
  const rule: Recurrence = {
    frequency: 'WEEKLY',
    byDay: days.map((day) => WEEKDAYS[day - 1]),
    ...(months !== undefined && { byMonth: months }),
  };
  const [startsAt] = occurrences(`${FIRST_WEEK}T${clock(from)}`, { ...rule, count: 1 });
  const endsNextDay = to <= from || to.startsWith('24');
  const endsAt = `${endsNextDay ? nextDay(startsAt) : startsAt.slice(0, 8)}T${clock(to)}`;
  const name = plan.name ?? 'Garden';
  const zoned = plan.upkeep.timeZone === null ? '' : `;TZID=${plan.upkeep.timeZone}`;
  return [
    'BEGIN:VEVENT',
    `UID:${[plan.id ?? 'plan', zone, from, to, ...(months ?? [])].map((part) => encodeURIComponent(part)).join('-')}@loopwright`,
    `DTSTAMP:${FIRST_WEEK}T000000Z`,
    `DTSTART${zoned}:${startsAt}`,
    `DTEND${zoned}:${endsAt}`,
    `RRULE:${recurrenceText(rule)}`,
    `SUMMARY:${escaped(`${what}: ${spoken(zone)}`)}`,
    `LOCATION:${escaped(name)}`,
    `DESCRIPTION:${escaped('Planned mowing time. Keep children and pets off the lawn.')}`,
    'TRANSP:TRANSPARENT',
    'END:VEVENT',
  ];
}

function nextDay(date: string): string {
  const [, tomorrow] = occurrences(date, { frequency: 'DAILY', count: 2 });
  return tomorrow.slice(0, 8);
}

/** '09:30' -> '093000'; '24:00' is midnight of the day that follows. */
function clock(time: string): string {
  return `${time.replace('24:', '00:').replace(':', '')}00`;
}

/** RFC 5545, 3.3.11. */
function escaped(text: string): string {
  return text.replace(/[\\;,]/g, (character) => `\\${character}`).replace(/\r?\n/g, '\\n');
}

/** Lines of at most 75 octets, continued on the next after a space, never within a character (RFC 5545, 3.1). */
function folded(line: string): string {
  let out = '';
  let octets = 0;
  for (const character of line) {
    const size = utf8(character).length;
    if (octets + size > LINE_OCTETS) {
      out += '\r\n ';
      octets = 1;
    }
    out += character;
    octets += size;
  }
  return out;
}
