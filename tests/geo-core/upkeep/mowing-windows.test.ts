import { describe, expect, test } from 'vitest';
import { minutesOfDay, mowingWindows } from '#geo-core/upkeep/mowing-windows.ts';

const EVERY_DAY = [1, 2, 3, 4, 5, 6, 7];
const hours = (windows: ReturnType<typeof mowingWindows>, day: number): number[][] =>
  windows[day - 1].map(({ fromMin, toMin }) => [fromMin / 60, toMin / 60]);

describe('when a machine may mow', () => {
  test('by day only, 08:00 to 20:00, where nothing is said', () => {
    expect(mowingWindows([])).toEqual(EVERY_DAY.map(() => [{ fromMin: 480, toMin: 1200 }]));
  });

  test('a rest at noon parts the day', () => {
    const windows = mowingWindows([{ days: [1, 2], from: '12:00', to: '14:00' }]);
    expect(hours(windows, 1)).toEqual([
      [8, 12],
      [14, 20],
    ]);
    expect(hours(windows, 3)).toEqual([[8, 20]]);
  });

  test('quiet over midnight runs on into the next day, Sunday into Monday too', () => {
    const windows = mowingWindows([{ days: [7], from: '19:00', to: '09:00' }]);
    expect(hours(windows, 7)).toEqual([[8, 19]]);
    expect(hours(windows, 1)).toEqual([[9, 20]]);
    expect(hours(windows, 2)).toEqual([[8, 20]]);
  });

  test('a whole quiet day has no window; the same time from and to is a day and its end', () => {
    expect(hours(mowingWindows([{ days: [7], from: '00:00', to: '24:00' }]), 7)).toEqual([]);
    const windows = mowingWindows([{ days: [7], from: '00:00', to: '00:00' }]);
    expect(hours(windows, 7)).toEqual([]);
    expect(hours(windows, 1)).toEqual([[8, 20]]);
  });

  test('quiet hours may overlap; a gap under half an hour is not used', () => {
    const windows = mowingWindows([
      { days: [4], from: '10:00', to: '13:00' },
      { days: [4], from: '09:00', to: '12:00' },
      { days: [4], from: '13:29', to: '15:00' },
    ]);
    expect(hours(windows, 4)).toEqual([
      [8, 9],
      [15, 20],
    ]);
  });

  test('days and times that are none are skipped', () => {
    const windows = mowingWindows([
      { days: [0, 8, 1.5], from: '08:00', to: '20:00' },
      { days: [1], from: 'noon', to: '20:00' },
    ]);
    expect(windows).toEqual(mowingWindows([]));
  });
});

test('clock times', () => {
  expect(minutesOfDay('00:00')).toBe(0);
  expect(minutesOfDay('13:05')).toBe(785);
  expect(minutesOfDay('24:00')).toBe(1440);
  for (const wrong of ['24:01', '12:60', '7:00', '', '12.30']) expect(minutesOfDay(wrong)).toBeUndefined();
});
