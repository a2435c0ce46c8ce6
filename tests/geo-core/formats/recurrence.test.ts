import { expect, test } from 'vitest';
import { occurrences, type Recurrence, recurrenceText } from '#geo-core/formats/recurrence.ts';
import { publishedFormats } from '../../support/published-formats.ts';

/** DTSTART of the examples of RFC 5545, 3.8.5.3, New York local time. */
const START = '19970902T090000';
const { rows } = publishedFormats.icalendar_rfc5545;

const rules: Readonly<Record<string, Recurrence>> = {
  'FREQ=DAILY;COUNT=10': { frequency: 'DAILY', count: 10 },
  'FREQ=DAILY;INTERVAL=10;COUNT=5': { frequency: 'DAILY', interval: 10, count: 5 },
  'FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH': {
    frequency: 'WEEKLY',
    count: 10,
    weekStart: 'SU',
    byDay: ['TU', 'TH'],
  },
};

test.each(rows.filter((row) => row.local_dates))('$rrule is written and expanded as published', (row) => {
  const rule = rules[row.rrule];
  expect(recurrenceText(rule)).toBe(row.rrule);
  expect([...occurrences(START, rule)]).toEqual(row.local_dates?.map((date) => `${date}T090000`));
});

test('daily until 24 December, 0 h UTC, which is 19 h on the 23rd in New York: 113 days, all at 09:00 local', () => {
  const row = rows.find((each) => each.rrule.includes('UNTIL'));
  const days = [...occurrences(START, { frequency: 'DAILY', until: '19971223T190000' })];
  expect(days).toHaveLength(row?.count ?? 0);
  expect(days[0]).toBe(`${row?.first}T090000`);
  expect(days.at(-1)).toBe(`${row?.last}T090000`);
});

test('every other week with the week beginning on Monday or Sunday gives different days (RFC 5545, 3.8.5.3)', () => {
  const rule: Recurrence = { frequency: 'WEEKLY', interval: 2, count: 4, byDay: ['TU', 'SU'] };
  const days = (weekStart: 'MO' | 'SU') => [...occurrences('19970805T090000', { ...rule, weekStart })];
  expect(days('MO').map((day) => day.slice(4, 8))).toEqual(['0805', '0810', '0819', '0824']);
  expect(days('SU').map((day) => day.slice(4, 8))).toEqual(['0805', '0817', '0819', '0831']);
});

test('a rule that names no day has no occurrence', () => {
  expect([...occurrences(START, { frequency: 'WEEKLY', byDay: [] })]).toEqual([]);
});
