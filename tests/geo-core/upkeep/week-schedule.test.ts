import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ScheduleEntry } from '#geo-core/model/plane-plan.ts';
import { minutesOfDay, mowingWindows } from '#geo-core/upkeep/mowing-windows.ts';
import { weekSchedule } from '#geo-core/upkeep/week-schedule.ts';

const minutesOf = ({ from, to }: ScheduleEntry): number => (minutesOfDay(to) ?? 0) - (minutesOfDay(from) ?? 0);
const sumOf = (entries: readonly ScheduleEntry[]): number => entries.reduce((sum, entry) => sum + minutesOf(entry), 0);

describe('a week', () => {
  test('three passes: three days evenly apart, the same time on each', () => {
    expect(weekSchedule([{ zone: 'zone-1', hours: 4.5 }], mowingWindows([]), 3)).toEqual([
      { zone: 'zone-1', day: 1, from: '08:00', to: '09:30' },
      { zone: 'zone-1', day: 3, from: '08:00', to: '09:30' },
      { zone: 'zone-1', day: 5, from: '08:00', to: '09:30' },
    ]);
  });

  test('zones follow one another on every day, each by its share', () => {
    const schedule = weekSchedule(
      [
        { zone: 'zone-1', hours: 4 },
        { zone: 'zone-2', hours: 2 },
      ],
      mowingWindows([]),
      2,
    );
    expect(schedule).toEqual([
      { zone: 'zone-1', day: 1, from: '08:00', to: '10:00' },
      { zone: 'zone-2', day: 1, from: '10:00', to: '11:00' },
      { zone: 'zone-1', day: 4, from: '08:00', to: '10:00' },
      { zone: 'zone-2', day: 4, from: '10:00', to: '11:00' },
    ]);
  });

  test('a rest at noon parts the work', () => {
    const windows = mowingWindows([{ days: [1, 2, 3, 4, 5, 6, 7], from: '09:00', to: '15:00' }]);
    expect(weekSchedule([{ zone: 'zone-1', hours: 2 }], windows, 1)).toEqual([
      { zone: 'zone-1', day: 1, from: '08:00', to: '09:00' },
      { zone: 'zone-1', day: 1, from: '15:00', to: '16:00' },
    ]);
  });

  test('more days are taken where the windows are short', () => {
    const schedule = weekSchedule([{ zone: 'zone-1', hours: 30 }], mowingWindows([]), 1);
    expect(new Set(schedule.map(({ day }) => day)).size).toBe(3);
    expect(sumOf(schedule)).toBe(30 * 60);
  });

  test('quiet days stay quiet and the days left carry the work', () => {
    const quiet = [{ days: [1, 2, 3, 4, 5], from: '00:00', to: '24:00' }];
    const schedule = weekSchedule([{ zone: 'zone-1', hours: 10 }], mowingWindows(quiet), 5);
    expect(schedule.map(({ day }) => day)).toEqual([6, 7]);
  });

  test('no zones or no window: no entries', () => {
    expect(weekSchedule([], mowingWindows([]), 3)).toEqual([]);
    const never = mowingWindows([{ days: [1, 2, 3, 4, 5, 6, 7], from: '00:00', to: '24:00' }]);
    expect(weekSchedule([{ zone: 'zone-1', hours: 1 }], never, 3)).toEqual([]);
  });

  test('stays inside the windows, never overlaps, and holds all the hours that fit (seeded)', () => {
    const zones = fc
      .array(fc.double({ min: 0.01, max: 30, noNaN: true }), { minLength: 1, maxLength: 6 })
      .map((all) => all.map((hours, i) => ({ zone: `zone-${i + 1}`, hours })));
    const time = fc
      .integer({ min: 0, max: 1439 })
      .map((m) => `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`);
    const quiet = fc.array(fc.record({ days: fc.subarray([1, 2, 3, 4, 5, 6, 7]), from: time, to: time }), {
      maxLength: 4,
    });
    fc.assert(
      fc.property(zones, quiet, fc.double({ min: 0.1, max: 10, noNaN: true }), (all, hush, passes) => {
        const windows = mowingWindows(hush);
        const schedule = weekSchedule(all, windows, passes);
        for (const entry of schedule) {
          const [from, to] = [minutesOfDay(entry.from) ?? -1, minutesOfDay(entry.to) ?? -1];
          expect(to).toBeGreaterThan(from);
          const around = windows[entry.day - 1].filter(({ fromMin, toMin }) => fromMin <= from && to <= toMin);
          expect(around).toHaveLength(1);
        }
        for (let i = 1; i < schedule.length; i++) {
          const [before, after] = [schedule[i - 1], schedule[i]];
          expect(after.day > before.day || (after.day === before.day && after.from >= before.to)).toBe(true);
        }
        const wantedMin = all.reduce((sum, { hours }) => sum + Math.ceil(hours * 60 - 1e-9), 0);
        const weekMin = windows.flat().reduce((sum, { fromMin, toMin }) => sum + toMin - fromMin, 0);
        expect(sumOf(schedule)).toBe(Math.min(wantedMin, weekMin));
      }),
      { seed: 70, numRuns: 300 },
    );
  });
});
