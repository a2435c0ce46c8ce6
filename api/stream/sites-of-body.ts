import { refusal } from '#api/plan/plan-job.ts';
import { decompressed } from '#api/plan/read-body.ts';
import { HttpProblem } from '#api/problems.ts';
import type { SitesForm } from './read-stream-request.ts';
import type { SiteRecord } from './site-record.ts';
import { splitRecords } from './split-records.ts';
import { splitSites } from './split-sites.ts';

export type BodyReading = {
  readonly form: SitesForm;
  /** Bytes of one site. */
  readonly bytesMax: number;
  /** How long the body may take, milliseconds. */
  readonly msMax: number;
  /** Aborted when nobody waits for more. */
  readonly signal: AbortSignal;
  /** Called whenever something came. */
  readonly onChunk: () => void;
};

/** The sites of a request's body as they come; where the body breaks off or takes too long, the last record says so. */
export function sitesOfBody(request: Request, reading: BodyReading): AsyncGenerator<SiteRecord, void, undefined> {
  const body = decompressed(request);
  return recordsOf(body, reading);
}

async function* recordsOf(
  body: ReadableStream<Uint8Array> | null,
  reading: BodyReading,
): AsyncGenerator<SiteRecord, void, undefined> {
  const split = reading.form === 'records' ? splitRecords : splitSites;
  try {
    if (body !== null) yield* split(chunksOf(body, reading), reading.bytesMax);
  } catch (error) {
    if (!(error instanceof HttpProblem)) throw error;
    yield refusal(error.parts.code, error.parts.detail);
  }
}

async function* chunksOf(
  body: ReadableStream<Uint8Array>,
  { msMax, signal, onChunk }: BodyReading,
): AsyncGenerator<Uint8Array, void, undefined> {
  const reader = body.getReader();
  let isLate = false;
  const cancel = () => void reader.cancel().catch(() => undefined);
  const timer = setTimeout(() => {
    isLate = true;
    cancel();
  }, msMax);
  signal.addEventListener('abort', cancel, { once: true });
  try {
    for (;;) {
      const { done, value } = await reader.read().catch(() => {
        throw new HttpProblem({
          code: 'invalid-body',
          detail: 'the body broke off here, or is not whole in its Content-Encoding',
        });
      });
      if (done) break;
      onChunk();
      yield value;
    }
    if (isLate) {
      const detail = `the stream took longer than ${msMax / 1000} s (LOOPWRIGHT_STREAM_MAX_S): send what is left in another one`;
      throw new HttpProblem({ code: 'time-limit', detail });
    }
  } finally {
    clearTimeout(timer);
    signal.removeEventListener('abort', cancel);
    cancel();
  }
}
