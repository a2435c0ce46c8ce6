import { describe, expect, test } from 'vitest';
import { carryTimes } from '#geo-core/upkeep/carry-times.ts';
import { clockOffsetMin, isTimeZone } from '#geo-core/upkeep/clock-offset.ts';
import { cutsPerWeek, mowBeforeMm } from '#geo-core/upkeep/cutting-height.ts';
import { daylight } from '#geo-core/upkeep/daylight.ts';
import { growthCurve } from '#geo-core/upkeep/growth-curve.ts';
import { clockText, minutesOfDay, mowingWindows, prolonged, WHOLE_DAY } from '#geo-core/upkeep/mowing-windows.ts';
import { type SeasonWeeksInput, seasonWeeks } from '#geo-core/upkeep/season-weeks.ts';
import trade from '../../../fixtures/reference/trade.json' with { type: 'json' };

const VIENNA = { latDeg: 48.2, lonDeg: 16.37, timeZone: 'Europe/Vienna' };

describe('daylight', () => {
  test('of a June day in London and a December day in Sydney is that of the Naval Observatory, within what a week moves it', () => {
    // US Naval Observatory: London 2025-06-21 03:43Z to 20:22Z; Sydney 2025-12-21 18:41Z (20 December) to 09:06Z. The month's middle
    // is six days off the solstice, which moves neither by more than three minutes there.
    const london = daylight(5, { latDeg: 51.5074, lonDeg: -0.1278, timeZone: 'Europe/London' }, 0);
    expect(Math.abs((london?.fromMin ?? 0) - (4 * 60 + 43))).toBeLessThanOrEqual(3);
    expect(Math.abs((london?.toMin ?? 0) - (21 * 60 + 22))).toBeLessThanOrEqual(4);
    const sydney = daylight(11, { latDeg: -33.8688, lonDeg: 151.2093, timeZone: 'Australia/Sydney' }, 0);
    expect(Math.abs((sydney?.fromMin ?? 0) - (5 * 60 + 41))).toBeLessThanOrEqual(4);
    expect(Math.abs((sydney?.toMin ?? 0) - (20 * 60 + 6))).toBeLessThanOrEqual(5);
  });

  test('in Tromsø there is none in December and always some in June', () => {
    const tromso = { latDeg: 69.65, lonDeg: 18.96, timeZone: 'Europe/Oslo' };
    expect(daylight(11, tromso, 0)).toBeUndefined();
    expect(daylight(5, tromso, 0)).toMatchObject({ fromMin: expect.any(Number) });
    const june = daylight(5, tromso, 0);
    expect((june?.toMin ?? 0) - (june?.fromMin ?? 0)).toBeGreaterThan(22 * 60);
  });

  test('without a time zone it never says more than the clock with one, summer time or not', () => {
    for (let month = 0; month < 12; month++) {
      const known = daylight(month, VIENNA, 30);
      const guessed = daylight(month, { latDeg: VIENNA.latDeg, lonDeg: VIENNA.lonDeg }, 30);
      if (known === undefined || guessed === undefined) continue;
      expect(guessed.fromMin).toBeGreaterThanOrEqual(known.fromMin);
      expect(guessed.toMin).toBeLessThanOrEqual(known.toMin);
    }
  });

  test('clocks: Vienna is one hour ahead in winter and two in summer, Kolkata five and a half, and some names are none', () => {
    expect([clockOffsetMin('Europe/Vienna', 10), clockOffsetMin('Europe/Vienna', 180)]).toEqual([60, 120]);
    expect([clockOffsetMin('Asia/Kolkata', 10), clockOffsetMin('America/St_Johns', 10)]).toEqual([330, -210]);
    expect([isTimeZone('Europe/Vienna'), isTimeZone('Europe/Nowhere')]).toEqual([true, false]);
  });
});

describe('growth', () => {
  test('by months is a share of the strongest month', () => {
    const monthsMmPerDay = [0, 0, 1, 3, 5, 4, 3, 3, 2.5, 1, 0, 0];
    const { shares } = growthCurve({ monthsMmPerDay }, 48);
    expect(shares).toEqual(monthsMmPerDay.map((rate) => rate / 5));
  });

  test('by points is taken linearly between them, round the end of the year', () => {
    const { mmPerDay = [] } = growthCurve(
      {
        pointsMmPerDay: [
          { on: '07-02', mmPerDay: 4 },
          { on: '01-01', mmPerDay: 0 },
        ],
      },
      48,
    );
    expect(mmPerDay[0]).toBeCloseTo((4 * 15.5) / 182, 9);
    expect(mmPerDay[6]).toBeCloseTo(4 - (4 * (196.5 - 182)) / 183, 9);
    expect(mmPerDay[11]).toBeCloseTo(4 - (4 * (349.5 - 182)) / 183, 9);
  });

  test('without a curve grass grows from April to October, in the south from October to April', () => {
    expect(growthCurve(undefined, 48).shares).toEqual([0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 0, 0]);
    expect(growthCurve(undefined, -35).shares).toEqual([1, 1, 1, 1, 0, 0, 0, 0, 0, 1, 1, 1]);
  });
});

describe('cutting height (one third of the leaf; Ohio State University extension)', () => {
  test.each(trade.one_third_rule.rows)(
    'kept at $cut mm it is mown before $mow_at mm',
    ({ cut, mow_at, allowed_growth }) => {
      expect(mowBeforeMm(cut)).toBe(mow_at);
      // What may grow in a week is cut once a week.
      expect(cutsPerWeek(cut, allowed_growth / 7)).toBeCloseTo(1, 12);
    },
  );
});

describe('hours of sprinklers', () => {
  test('last until the grass is dry, over midnight too, and never longer than a day', () => {
    const days = [1];
    expect(prolonged([{ days, from: '05:00', to: '06:00' }], 60)[0]).toEqual({ days, from: '05:00', to: '07:00' });
    expect(prolonged([{ days, from: '22:00', to: '23:30' }], 60)[0]).toEqual({ days, from: '22:00', to: '00:30' });
    expect(prolonged([{ days, from: '22:00', to: '21:00' }], 90)[0]).toEqual({ days, from: '00:00', to: '24:00' });
  });
});

describe('the weeks of the year', () => {
  const input: SeasonWeeksInput = {
    zoneHours: [
      { zone: 'zone-1', hours: 20 },
      { zone: 'zone-2', hours: 5 },
    ],
    growth: growthCurve({ monthsMmPerDay: [0, 0, 1, 3, 5, 4, 3, 3, 2.5, 1, 0, 0] }, VIENNA.latDeg),
    quiet: [{ days: [7], from: '00:00', to: '24:00' }],
    place: VIENNA,
    daylightOnly: true,
    sunClearMin: 30,
    sessions: 3,
    edgeLaps: 2,
  };
  const seasons = seasonWeeks(input);

  test('hold every month of growth once, each with its share of the hours', () => {
    expect(seasons.flatMap(({ months }) => months).toSorted((a, b) => a - b)).toEqual([3, 4, 5, 6, 7, 8, 9, 10]);
    for (const { growthShare, hoursPerWeek } of seasons) expect(hoursPerWeek).toBeCloseTo(25 * growthShare, 9);
    expect(seasons.find(({ months }) => months.includes(7))?.months).toEqual([4, 7, 8]);
  });

  test('keep quiet days and the dark', () => {
    for (const { months, schedule } of seasons) {
      for (const { day, from, to } of schedule) {
        expect(day).not.toBe(7);
        for (const month of months) {
          const light = daylight(month - 1, VIENNA, 30);
          expect(minutesOfDay(from)).toBeGreaterThanOrEqual(light?.fromMin ?? Number.NaN);
          expect(minutesOfDay(to)).toBeLessThanOrEqual(light?.toMin ?? Number.NaN);
        }
      }
    }
  });

  test('have laps along the edge on two days, once for each zone', () => {
    for (const { schedule } of seasons) {
      const laps = schedule.filter(({ edgeLap }) => edgeLap === true);
      expect(new Set(laps.map(({ day }) => day)).size).toBe(Math.min(2, new Set(schedule.map(({ day }) => day)).size));
      expect(new Set(laps.map(({ zone, day }) => `${zone} ${day}`)).size).toBe(laps.length);
    }
  });

  test('run into the night only where the rules allow it', () => {
    const [june] = seasonWeeks({
      ...input,
      zoneHours: [{ zone: 'zone-1', hours: 140 }],
      daylightOnly: false,
      growth: { shares: [1] },
    });
    expect(june.windowH).toBe(6 * 24);
    expect(june.schedule.some(({ from }) => from === '00:00')).toBe(true);
  });
});

describe('carries', () => {
  const windows = mowingWindows([{ days: [6, 7], from: '00:00', to: '24:00' }]);
  const busy = [{ zone: 'zone-1', day: 1, from: '08:00', to: '18:00' }];

  test('take a battery each, on the days with most time left, after what is planned', () => {
    const times = carryTimes([{ zone: 'zone-2', mowingH: 2 }], busy, windows, 70);
    expect(times).toEqual([
      { zone: 'zone-2', day: 2, from: '08:00', to: '09:00' },
      { zone: 'zone-2', day: 3, from: '08:00', to: '09:00' },
    ]);
  });

  test('come after each other where several zones share a day', () => {
    const monday = windows.map((spans, day) => (day === 0 ? spans : []));
    const times = carryTimes(
      [
        { zone: 'zone-2', mowingH: 1 },
        { zone: 'zone-3', mowingH: 0.5 },
      ],
      busy,
      monday,
      70,
    );
    expect(times.map(({ from, to }) => `${from}-${to}`)).toEqual(['18:00-19:00', '19:00-19:30']);
  });

  test('that no day holds are left out', () => {
    expect(carryTimes([{ zone: 'zone-2', mowingH: 20 }], busy, windows, 70)).toHaveLength(5);
  });

  test('clock times read back', () => {
    expect(clockText(minutesOfDay('07:05') ?? 0)).toBe('07:05');
    expect(clockText(WHOLE_DAY.toMin)).toBe('24:00');
  });
});
