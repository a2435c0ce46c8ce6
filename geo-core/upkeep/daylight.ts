import { arcTangent, sineCosine } from '#geo-core/projection/portable-functions.ts';
import { solarPosition } from '#geo-core/sun/solar-position.ts';
import { clockOffsetMin } from './clock-offset.ts';
import { DAYTIME, type MinuteSpan } from './mowing-windows.ts';

export type DaylightPlace = { readonly latDeg: number; readonly lonDeg: number; readonly timeZone?: string };

/** Upper rim of the sun on the horizon, refraction counted (US Naval Observatory's definition of sunrise), degrees. */
const RISE_DEG = -0.833;
const RADIAN = Math.PI / 180;
const DAY_MIN = 24 * 60;
/** 2025: the same day of another year has the sun within a minute. Julian date of its first day. */
const NEW_YEAR = 2_460_676.5;

/**
 * From sunrise to sunset in the middle of a month (0 January), local clock, minutes of the day, less `clearMin` at both ends; undefined
 * where the sun does not rise for so long. Without a time zone the clock is taken from the longitude, and an hour of summer time
 * is kept clear in the morning, too. Sunrise by the hour angle cos H = (sin -0.833 - sin lat sin dec) / (cos lat cos dec).
 */
export function daylight(
  month: number,
  { latDeg, lonDeg, timeZone }: DaylightPlace,
  clearMin: number,
): MinuteSpan | undefined {
  const day = Math.round(15 + 30.4 * month);
  const { declinationDeg, equationOfTimeMin } = solarPosition(NEW_YEAR + day + 0.5 - lonDeg / 360, latDeg, lonDeg);
  const [lat, dec] = [sineCosine(latDeg * RADIAN), sineCosine(declinationDeg * RADIAN)];
  const rise = -sineCosine(-RISE_DEG * RADIAN).sine;
  const cosine = (rise - lat.sine * dec.sine) / (lat.cosine * dec.cosine);
  if (cosine >= 1) return undefined;
  const halfMin = cosine <= -1 ? DAY_MIN / 2 : (4 * arcTangent(Math.sqrt(1 - cosine * cosine), cosine)) / RADIAN;
  const offsetMin = timeZone === undefined ? 60 * Math.round(lonDeg / 15) : clockOffsetMin(timeZone, day);
  const noonMin = DAY_MIN / 2 - equationOfTimeMin - 4 * lonDeg + offsetMin;
  const summerMin = timeZone === undefined ? 60 : 0;
  const fromMin = Math.max(0, Math.ceil(noonMin - halfMin + clearMin + summerMin));
  const toMin = Math.min(DAY_MIN, Math.floor(noonMin + halfMin - clearMin));
  return toMin > fromMin ? { fromMin, toMin } : undefined;
}

/** Daylight within the hours in which anybody mows. */
export function dayWindow(month: number, place: DaylightPlace, clearMin: number): MinuteSpan | undefined {
  const light = daylight(month, place, clearMin);
  if (light === undefined) return undefined;
  const [fromMin, toMin] = [Math.max(DAYTIME.fromMin, light.fromMin), Math.min(DAYTIME.toMin, light.toMin)];
  return toMin > fromMin ? { fromMin, toMin } : undefined;
}
