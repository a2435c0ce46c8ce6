import type { QuietHours } from '#geo-core/model/site.ts';

/** Minutes of one day, from 0 (midnight) to 1440. */
export type MinuteSpan = { readonly fromMin: number; readonly toMin: number };

/** Daylight only, so that small wild animals are not met at night. Common practice, no source. */
export const DAYTIME: MinuteSpan = { fromMin: 8 * 60, toMin: 20 * 60 };
/** A gap between quiet hours shorter than this is not worth a start, minutes. Common practice, no source. */
const LEAST_WINDOW_MIN = 30;
const DAY_MIN = 24 * 60;
export const WHOLE_DAY: MinuteSpan = { fromMin: 0, toMin: DAY_MIN };

/**
 * When a machine may mow: for each day 1 (Monday) to 7 (Sunday), index 0 to 6, the parts of `daytime` outside quiet hours, in order.
 * Quiet hours that end at or before their start run on into the next day; unreadable times are skipped (`minutesOfDay` tells).
 */
export function mowingWindows(quiet: readonly QuietHours[], daytime: MinuteSpan = DAYTIME): MinuteSpan[][] {
  const quietByDay: MinuteSpan[][] = Array.from({ length: 7 }, () => []);
  for (const { days, from, to } of quiet) {
    const [fromMin, toMin] = [minutesOfDay(from), minutesOfDay(to)];
    if (fromMin === undefined || toMin === undefined) continue;
    for (const day of days.filter((one) => Number.isInteger(one) && one >= 1 && one <= 7)) {
      if (toMin > fromMin) quietByDay[day - 1].push({ fromMin, toMin });
      else {
        quietByDay[day - 1].push({ fromMin, toMin: DAY_MIN });
        quietByDay[day % 7].push({ fromMin: 0, toMin });
      }
    }
  }
  return quietByDay.map((spans) => without(daytime, spans));
}

/** 'HH:MM' -> minutes from midnight, '24:00' included; undefined for anything else. */
export function minutesOfDay(clock: string): number | undefined {
  const match = /^(\d\d):(\d\d)$/.exec(clock);
  if (match === null) return undefined;
  const [hours, minutes] = [Number(match[1]), Number(match[2])];
  const total = hours * 60 + minutes;
  return minutes < 60 && total <= DAY_MIN ? total : undefined;
}

/** Minutes from midnight -> 'HH:MM'. */
export function clockText(minutes: number): string {
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}

/** The same hours, each longer by so many minutes at its end; what would last a day or more is the whole day. */
export function prolonged(hours: readonly QuietHours[], byMin: number): QuietHours[] {
  return hours.map((each) => {
    const [fromMin, toMin] = [minutesOfDay(each.from), minutesOfDay(each.to)];
    if (fromMin === undefined || toMin === undefined) return each;
    const lengthMin = toMin - fromMin + (toMin > fromMin ? 0 : DAY_MIN) + byMin;
    if (lengthMin >= DAY_MIN) return { ...each, from: '00:00', to: '24:00' };
    return { ...each, to: clockText((fromMin + lengthMin) % DAY_MIN) };
  });
}

function without(daytime: MinuteSpan, quiet: readonly MinuteSpan[]): MinuteSpan[] {
  const windows: MinuteSpan[] = [];
  let { fromMin } = daytime;
  for (const span of quiet.toSorted((a, b) => a.fromMin - b.fromMin)) {
    if (span.fromMin > fromMin) windows.push({ fromMin, toMin: Math.min(span.fromMin, daytime.toMin) });
    fromMin = Math.max(fromMin, span.toMin);
  }
  windows.push({ fromMin, toMin: daytime.toMin });
  return windows.filter((window) => window.toMin - window.fromMin >= LEAST_WINDOW_MIN);
}
