import type { Deps } from '#api/app.ts';
import { answerLine } from './answer-line.ts';
import { planInOrder, type SourcedAnswer, type SourcedSite } from './plan-in-order.ts';
import type { StreamRequest } from './read-stream-request.ts';
import type { SiteRecord } from './site-record.ts';
import { sitesOfBody } from './sites-of-body.ts';

/** Whoever neither sends nor reads for so long has gone, milliseconds. */
const STALLED_MS_MAX = 120_000;

type StreamWorld = Pick<Deps, 'planner' | 'limits' | 'nowMs' | 'log'> & {
  readonly requestId: string;
  readonly onEnd: () => void;
};

/**
 * Many sites in, one line for each out, in order, while they come: whatever is wrong with a site is said in its line. Nothing is read faster than
 * answers are taken off; when the reader goes away the work stops.
 */
export function answerStream(request: Request, asked: StreamRequest, world: StreamWorld): Response {
  const { planner, limits, nowMs, log, requestId, onEnd } = world;
  const stop = new AbortController();
  let movedMs = nowMs();
  const move = () => {
    movedMs = nowMs();
  };
  const records = sitesOfBody(request, {
    form: asked.form,
    bytesMax: limits.bodyBytesMax,
    msMax: limits.streamMsMax,
    signal: stop.signal,
    onChunk: move,
  });
  const answers = planInOrder(numbered(records), { planner, job: asked.job, tellsSource: true, signal: stop.signal });
  const startMs = nowMs();
  let [sites, refused] = [0, 0];
  const watch = setInterval(() => {
    if (nowMs() - movedMs > STALLED_MS_MAX) stop.abort();
  }, STALLED_MS_MAX / 8);
  watch.unref();
  let isEnded = false;
  const end = () => {
    if (isEnded) return;
    isEnded = true;
    clearInterval(watch);
    const ms = Math.round(nowMs() - startMs);
    log({ event: 'plan-stream', requestId, sites, refused, ms, ...(stop.signal.aborted && { given: 'up' }) });
    onEnd();
  };
  const told = ({ answer, source }: SourcedAnswer) => {
    sites++;
    if (answer.outcome === 'failed') log({ event: 'failure', requestId, trace: answer.trace });
    if (answer.outcome !== 'planned') refused++;
    return answerLine(answer, source, asked.answers);
  };
  const body = new ReadableStream<Uint8Array>(
    {
      async pull(controller) {
        move();
        const next = await answers.next().catch((error: unknown) => {
          end();
          throw error;
        });
        move();
        if (next.done !== true) controller.enqueue(told(next.value));
        else {
          end();
          if (stop.signal.aborted) controller.error(new Error('nobody sent or read any more'));
          else controller.close();
        }
      },
      async cancel() {
        stop.abort();
        await answers.return();
        end();
      },
    },
    { highWaterMark: 0 },
  );
  return new Response(body, { headers: { 'content-type': asked.answers.mediaType, 'cache-control': 'no-store' } });
}

async function* numbered(sites: AsyncIterable<SiteRecord>): AsyncGenerator<SourcedSite, void, undefined> {
  let record = 0;
  for await (const site of sites) yield { site, source: { record: record++ } };
}
