import { arcTangent, sineCosine } from '#geo-core/projection/portable-functions.ts';

/** Where the sun stands: degrees above the horizon without refraction, and degrees clockwise from north. */
export type SolarPosition = {
  readonly elevationDeg: number;
  readonly azimuthDeg: number;
  readonly declinationDeg: number;
  readonly equationOfTimeMin: number;
};

const RADIAN = Math.PI / 180;
const wrapped = (value: number, turn: number): number => ((value % turn) + turn) % turn;
const sine = (deg: number): number => sineCosine(wrapped(deg, 360) * RADIAN).sine;
const cosine = (deg: number): number => sineCosine(wrapped(deg, 360) * RADIAN).cosine;
const arcSineDeg = (value: number): number => arcTangent(value, Math.sqrt(1 - value * value)) / RADIAN;

/**
 * Solar position by the formulas of the NOAA solar calculator (day sheet; after J. Meeus, Astronomical Algorithms, chapter 25,
 * low accuracy): good to 0.01 degree from 1900 to 2100. Days of Julian date in universal time; latitude and longitude in
 * degrees, north and east positive. Dynamical and universal time count as one (a minute moves the sun by 0.0007 degree of declination).
 */
export function solarPosition(julianDay: number, latDeg: number, lonDeg: number): SolarPosition {
  const t = (julianDay - 2_451_545) / 36_525;
  const meanLonDeg = wrapped(280.466_46 + t * (36_000.769_83 + t * 0.000_303_2), 360);
  const anomalyDeg = 357.529_11 + t * (35_999.050_29 - 0.000_153_7 * t);
  const eccentricity = 0.016_708_634 - t * (0.000_042_037 + 0.000_000_126_7 * t);
  const centreDeg =
    sine(anomalyDeg) * (1.914_602 - t * (0.004_817 + 0.000_014 * t)) +
    sine(2 * anomalyDeg) * (0.019_993 - 0.000_101 * t) +
    sine(3 * anomalyDeg) * 0.000_289;
  const nodeDeg = 125.04 - 1934.136 * t;
  const apparentLonDeg = meanLonDeg + centreDeg - 0.005_69 - 0.004_78 * sine(nodeDeg);
  const meanObliquityDeg = 23 + (26 + (21.448 - t * (46.815 + t * (0.000_59 - t * 0.001_813))) / 60) / 60;
  const obliquityDeg = meanObliquityDeg + 0.002_56 * cosine(nodeDeg);
  const declinationDeg = arcSineDeg(sine(obliquityDeg) * sine(apparentLonDeg));
  const halfTangent = sine(obliquityDeg / 2) / cosine(obliquityDeg / 2);
  const y = halfTangent * halfTangent;
  const equationOfTimeMin =
    (4 / RADIAN) *
    (y * sine(2 * meanLonDeg) -
      2 * eccentricity * sine(anomalyDeg) +
      4 * eccentricity * y * sine(anomalyDeg) * cosine(2 * meanLonDeg) -
      0.5 * y * y * sine(4 * meanLonDeg) -
      1.25 * eccentricity * eccentricity * sine(2 * anomalyDeg));
  const minuteOfDay = wrapped(julianDay + 0.5, 1) * 1440;
  const hourAngleDeg = wrapped(minuteOfDay + equationOfTimeMin + 4 * lonDeg, 1440) / 4 - 180;
  const up = sine(latDeg) * sine(declinationDeg) + cosine(latDeg) * cosine(declinationDeg) * cosine(hourAngleDeg);
  const east = -cosine(declinationDeg) * sine(hourAngleDeg);
  const north = sine(declinationDeg) * cosine(latDeg) - cosine(declinationDeg) * sine(latDeg) * cosine(hourAngleDeg);
  return {
    elevationDeg: arcSineDeg(Math.min(1, Math.max(-1, up))),
    azimuthDeg: wrapped(arcTangent(east, north) / RADIAN, 360),
    declinationDeg,
    equationOfTimeMin,
  };
}
