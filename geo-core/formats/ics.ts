import type { Plan } from '#geo-core/model/plan.ts';
import type { ScheduleEntry } from '#geo-core/model/plane-plan.ts';
import type { PlanFormat } from './plan-format.ts';
import { occurrences, type Recurrence, recurrenceText, WEEKDAYS } from './recurrence.ts';
import { utf8 } from './utf8.ts';

/** The schedule repeats every week, so any week may be its first: this one began on a Monday with the year. */
const FIRST_WEEK = '20240101';
const LINE_OCTETS = 75;

/** The mowing week as an iCalendar (RFC 5545), in local clock time wherever it is read. */
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
      ...weeklyEvents(plan).flatMap((event) => eventLines(plan, event)),
      'END:VCALENDAR',
    ]
      .map((line) => `${folded(line)}\r\n`)
      .join(''),
};

type WeeklyEvent = Pick<ScheduleEntry, 'zone' | 'from' | 'to'> & { readonly days: readonly number[] };

/** Entries of one zone at the same hours become one event on several days. */
function weeklyEvents({ schedule }: Plan): WeeklyEvent[] {
  const events = new Map<string, WeeklyEvent>();
  for (const { zone, from, to, day } of schedule) {
    const key = JSON.stringify([zone, from, to]);
    const days = [...new Set([...(events.get(key)?.days ?? []), day])].sort((a, b) => a - b);
    events.set(key, { zone, from, to, days });
  }
  return [...events.values()];
}

function eventLines(plan: Plan, { zone, from, to, days }: WeeklyEvent): string[] {
  const rule: Recurrence = { frequency: 'WEEKLY', byDay: days.map((day) => WEEKDAYS[day - 1]) };
  const [startsAt] = occurrences(`${FIRST_WEEK}T${clock(from)}`, { ...rule, count: 1 });
  const endsNextDay = to <= from || to.startsWith('24');
  const endsAt = `${endsNextDay ? nextDay(startsAt) : startsAt.slice(0, 8)}T${clock(to)}`;
  const name = plan.name ?? 'Garden';
  return [
    'BEGIN:VEVENT',
    `UID:${[plan.id ?? 'plan', zone, from, to].map((part) => encodeURIComponent(part)).join('-')}@loopwright`,
    `DTSTAMP:${FIRST_WEEK}T000000Z`,
    `DTSTART:${startsAt}`,
    `DTEND:${endsAt}`,
    `RRULE:${recurrenceText(rule)}`,
    `SUMMARY:${escaped(`Mow ${zone}`)}`,
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
