import { expect, test } from 'vitest';
import { ics } from '#geo-core/formats/ics.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { goldenPlan } from '../../support/golden-plan.ts';

function written(change: Partial<Plan> = {}): string {
  return String(ics.write({ ...goldenPlan(), ...change }));
}

/** Content lines put together again (RFC 5545, 3.1). */
function unfolded(text: string): string[] {
  return text.replaceAll('\r\n ', '').split('\r\n').slice(0, -1);
}

test('each mowing time is an event that repeats every week on its day, from its first real occurrence', () => {
  const lines = unfolded(written());
  expect(lines.filter((line) => line === 'BEGIN:VEVENT')).toHaveLength(2);
  expect(lines).toContain('DTSTART:20240102T090000');
  expect(lines).toContain('DTEND:20240102T101500');
  expect(lines).toContain('RRULE:FREQ=WEEKLY;BYDAY=TU');
  expect(lines).toContain('DTSTART:20240104T090000');
  expect(lines).toContain('RRULE:FREQ=WEEKLY;BYDAY=TH');
});

test('the same hours on several days are one event', () => {
  const schedule = [5, 1, 3].map((day) => ({ zone: 'zone-1', day, from: '08:00', to: '09:00' }));
  const lines = unfolded(written({ schedule }));
  expect(lines.filter((line) => line === 'BEGIN:VEVENT')).toHaveLength(1);
  expect(lines).toContain('RRULE:FREQ=WEEKLY;BYDAY=MO,WE,FR');
  expect(lines).toContain('DTSTART:20240101T080000');
});

test.each([
  ['22:00', '06:00', '20240103T060000'],
  ['22:00', '24:00', '20240103T000000'],
])('a time from %s to %s ends on the next day', (from, to, end) => {
  const lines = unfolded(written({ schedule: [{ zone: 'zone-1', day: 2, from, to }] }));
  expect(lines).toContain('DTSTART:20240102T220000');
  expect(lines).toContain(`DTEND:${end}`);
});

test('no line is longer than 75 octets and none is cut within a character', () => {
  const name = 'Überaus große Gärten 🌿'.repeat(9);
  const text = written({ name });
  for (const line of text.split('\r\n')) {
    expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    expect(line).not.toContain('\ufffd');
  }
  expect(unfolded(text)).toContain(`LOCATION:${name}`);
});

test('commas, semicolons, backslashes and line ends of a name are text', () => {
  expect(unfolded(written({ name: 'A, b; c\\d\nEND:VCALENDAR' }))).toContain(
    'LOCATION:A\\, b\\; c\\\\d\\nEND:VCALENDAR',
  );
});

test('without a schedule it is an empty calendar', () => {
  expect(unfolded(written({ schedule: [] }))).toEqual([
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Loopwright//Mowing schedule//EN',
    'CALSCALE:GREGORIAN',
    'END:VCALENDAR',
  ]);
});

test('each season has its weeks in its months, laps along the edge and carries said, in the time zone of the site', () => {
  const entry = { zone: 'zone-1', day: 2, from: '09:00', to: '10:15' };
  const season = { growthShare: 1, hoursPerWeek: 1.25, windowH: 84 };
  const upkeep = {
    seasons: [
      { ...season, months: [5, 6], schedule: [{ ...entry, edgeLap: true }] },
      { ...season, months: [4, 7], schedule: [{ ...entry, day: 4 }] },
    ],
    carries: [{ zone: 'zone-3', day: 6, from: '11:00', to: '12:00' }],
    timeZone: 'Europe/Vienna',
    energyKwhPerYear: 60,
  };
  const lines = unfolded(written({ upkeep }));
  expect(lines.filter((line) => line.startsWith('RRULE:FREQ=WEEKLY'))).toEqual([
    'RRULE:FREQ=WEEKLY;BYMONTH=5,6;BYDAY=TU',
    'RRULE:FREQ=WEEKLY;BYMONTH=4,7;BYDAY=TH',
    'RRULE:FREQ=WEEKLY;BYMONTH=4,5,6,7;BYDAY=SA',
  ]);
  // The first Tuesday of May 2024.
  expect(lines).toContain('DTSTART;TZID=Europe/Vienna:20240507T090000');
  expect(lines.filter((line) => line.startsWith('SUMMARY:'))).toEqual([
    'SUMMARY:Mow and lap the edge: zone 1',
    'SUMMARY:Mow: zone 1',
    'SUMMARY:Carry the machine and mow: zone 3',
  ]);
  // European summer time: last Sundays of March and October (RFC 5545, 3.6.5).
  expect(lines.slice(4, 18)).toEqual([
    'BEGIN:VTIMEZONE',
    'TZID:Europe/Vienna',
    'BEGIN:DAYLIGHT',
    'DTSTART:20240331T020000',
    'RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU',
    'TZOFFSETFROM:+0100',
    'TZOFFSETTO:+0200',
    'END:DAYLIGHT',
    'BEGIN:STANDARD',
    'DTSTART:20241027T020000',
    'RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU',
    'TZOFFSETFROM:+0200',
    'TZOFFSETTO:+0100',
    'END:STANDARD',
  ]);
});

test('a zone without summer time has one clock', () => {
  const upkeep = { seasons: [], carries: [], timeZone: 'Asia/Kolkata', energyKwhPerYear: 0 };
  expect(unfolded(written({ upkeep })).slice(6, 10)).toEqual([
    'BEGIN:STANDARD',
    'DTSTART:20240101T000000',
    'TZOFFSETFROM:+0530',
    'TZOFFSETTO:+0530',
  ]);
});
