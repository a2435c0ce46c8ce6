/** First day of 2025, whose rules of summer time stand for those of every year. */
const NEW_YEAR_MS = Date.UTC(2025, 0, 1);
const DAY_MS = 86_400_000;

/**
 * Minutes that the clock of an IANA time zone is ahead of universal time at noon of a day of the year (0 the first of January), by the
 * engine's own tables. Throws `RangeError` for a zone that nobody knows: `isTimeZone` tells.
 */
export function clockOffsetMin(timeZone: string, dayOfYear: number): number {
  const at = new Date(NEW_YEAR_MS + dayOfYear * DAY_MS + DAY_MS / 2);
  const name = new Intl.DateTimeFormat('en-US', { timeZone, timeZoneName: 'longOffset' })
    .formatToParts(at)
    .find(({ type }) => type === 'timeZoneName')?.value;
  const match = /^GMT(?:([+-])(\d\d):(\d\d))?/.exec(name ?? '');
  if (match === null || match[1] === undefined) return 0;
  return (match[1] === '-' ? -1 : 1) * (60 * Number(match[2]) + Number(match[3]));
}

/** True of the names of time zones that this engine knows. */
export function isTimeZone(name: string): boolean {
  try {
    return new Intl.DateTimeFormat('en-US', { timeZone: name }).resolvedOptions().timeZone !== '';
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}
