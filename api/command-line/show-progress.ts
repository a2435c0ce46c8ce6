import type { Tally } from '#api/stream/tally.ts';

export type Progress = {
  readonly write: (text: string) => void;
  /** A terminal shows one line that changes; a log gets a line now and then. */
  readonly isTerminal: boolean;
  /** Milliseconds of a clock that never runs backwards. */
  readonly nowMs: () => number;
};

const TERMINAL_EVERY_MS = 200;
const LOG_EVERY_MS = 10_000;
const BAR = 24;
const CLEAR_LINE = '\r\u001b[K';

/** Tells how far a long run is: done, rate, time left, refused so far. `sizeBytes` is all there is to read. */
export function showProgress({ write, isTerminal, nowMs }: Progress, tally: Tally, sizeBytes: number) {
  const everyMs = isTerminal ? TERMINAL_EVERY_MS : LOG_EVERY_MS;
  const startMs = nowMs();
  const before = doneOf(tally);
  let start: { readonly ms: number; readonly bytes: number } | undefined;
  let [readBytes, shownMs] = [0, startMs];

  const line = (): string => {
    const done = doneOf(tally);
    const seconds = (nowMs() - (start?.ms ?? startMs)) / 1000;
    const rate = seconds > 0 ? (done - before) / seconds : 0;
    const newBytes = readBytes - (start?.bytes ?? 0);
    const leftS = newBytes > 0 ? (seconds * (sizeBytes - readBytes)) / newBytes : undefined;
    const share = sizeBytes > 0 ? Math.min(1, readBytes / sizeBytes) : 1;
    const bar = `[${'#'.repeat(Math.round(BAR * share)).padEnd(BAR)}] `;
    const left = leftS === undefined ? '' : `, ${duration(leftS)} left`;
    return `${isTerminal ? bar : ''}${done} done (${(100 * share).toFixed(1)} %), ${rate.toFixed(1)}/s${left}, ${tally.refused} refused`;
  };

  return {
    read(bytes: number): void {
      readBytes += bytes;
    },
    /** Another answer is written. */
    answered(): void {
      start ??= { ms: startMs, bytes: 0 };
      if (nowMs() - shownMs < everyMs) return;
      shownMs = nowMs();
      write(isTerminal ? `${CLEAR_LINE}${line()}` : `${line()}\n`);
    },
    /** Everything answered before has been passed over: what counts for the rate begins here. */
    begun(): void {
      start = { ms: nowMs(), bytes: readBytes };
    },
    close(): void {
      write(isTerminal ? `${CLEAR_LINE}${line()}\n` : `${line()}\n`);
    },
  };
}

function doneOf({ planned, refused }: Tally): number {
  return planned + refused;
}

function duration(seconds: number): string {
  const whole = Math.round(seconds);
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
  const clock = [minutes, whole % 60].map((part) => String(part).padStart(2, '0')).join(':');
  return hours > 0 ? `${hours}:${clock}` : clock;
}
