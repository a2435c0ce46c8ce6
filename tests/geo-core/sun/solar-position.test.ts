import { describe, expect, it } from 'vitest';
import { solarPosition } from '#geo-core/sun/solar-position.ts';
import reference from '../../../fixtures/reference/sun.json' with { type: 'json' };

/** Julian date of a moment in universal time (Meeus: 1970-01-01 is 2440587.5). */
const julianDay = (utc: string): number => Date.parse(utc) / 86_400_000 + 2_440_587.5;

describe('the position of the sun', () => {
  it('is that of the worked example of the solar position algorithm, to a hundredth of a degree', () => {
    const { utc, lat, lon, expected, tolerance_deg } = reference.spa_worked_example;
    const sun = solarPosition(julianDay(utc), lat, lon);
    expect(Math.abs(sun.elevationDeg - expected.elevation_true_deg)).toBeLessThan(tolerance_deg.noaa_formulas);
    expect(Math.abs(sun.azimuthDeg - expected.azimuth_deg)).toBeLessThan(tolerance_deg.noaa_formulas);
    expect(Math.abs(sun.declinationDeg - expected.declination_deg)).toBeLessThan(tolerance_deg.noaa_formulas);
    // Four minutes of time a degree.
    expect(Math.abs(sun.equationOfTimeMin - expected.equation_of_time_min)).toBeLessThan(
      4 * tolerance_deg.noaa_formulas,
    );
  });

  it('is that of the printed day sheet, digit by digit', () => {
    const { utc, lat, lon, tolerance, ...sheet } = reference.noaa_sheet;
    const sun = solarPosition(julianDay(utc), lat, lon);
    // A Julian date in double precision keeps 40 microseconds: 2e-7 degree of hour angle.
    expect(Math.abs(sun.declinationDeg - sheet.declination_deg)).toBeLessThan(tolerance);
    expect(Math.abs(sun.equationOfTimeMin - sheet.equation_of_time_min)).toBeLessThan(tolerance);
    expect(Math.abs(sun.elevationDeg - sheet.elevation_true_deg)).toBeLessThan(2e-7);
    expect(Math.abs(sun.azimuthDeg - sheet.azimuth_deg)).toBeLessThan(2e-7);
  });

  it.each(reference.positions.rows.filter(({ elev_true }) => elev_true > 2))(
    'at $site on $utc is within a hundredth of a degree of the reference algorithm',
    ({ lat, lon, utc, elev_true, azimuth }) => {
      const sun = solarPosition(julianDay(utc), lat, lon);
      expect(Math.abs(sun.elevationDeg - elev_true)).toBeLessThan(reference.positions.tolerance_deg);
      const turn = Math.abs(((sun.azimuthDeg - azimuth + 540) % 360) - 180);
      expect(turn * Math.cos((elev_true * Math.PI) / 180)).toBeLessThan(reference.positions.tolerance_deg);
    },
  );

  it.each(reference.usno_rise_set.rows)(
    'rises and sets at $site on $date as the almanac says, to its minute',
    (row) => {
      const midnight = julianDay(`${row.date}T00:00:00Z`) - row.utc_offset_h / 24;
      const rise = crossing(midnight, midnight + 0.5, row.lat, row.lon);
      const set = crossing(midnight + 0.5, midnight + 1, row.lat, row.lon);
      expect(Math.abs((rise - midnight) * 86_400 - seconds(row.sunrise_published))).toBeLessThan(60);
      expect(Math.abs((set - midnight) * 86_400 - seconds(row.sunset_published))).toBeLessThan(60);
    },
  );
});

const seconds = (clock: string): number => {
  const [hours, minutes] = clock.split(':').map(Number);
  return 3600 * hours + 60 * minutes;
};

/** When the sun's middle stands 50 minutes of arc below the horizon: refraction and half its disc, as almanacs define rising. */
function crossing(from: number, to: number, lat: number, lon: number): number {
  const isUp = (day: number): boolean => solarPosition(day, lat, lon).elevationDeg > -0.8333;
  let [low, high] = [from, to];
  while (high - low > 1e-6) {
    const middle = (low + high) / 2;
    if (isUp(middle) === isUp(low)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
