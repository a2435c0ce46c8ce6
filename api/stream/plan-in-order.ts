import { setTimeout as wait } from 'node:timers/promises';
import type { PlanAnswer, PlanJob } from '#api/plan/plan-job.ts';
import type { Planner } from '#api/plan/worker-pool.ts';
import type { AnswerSource } from './answer-line.ts';
import type { SiteRecord } from './site-record.ts';

/** Sites in flight for each worker: one is planned while the next waits at its door. */
const IN_FLIGHT = 2;
const BUSY_WAIT_MS = 50;

export type OrderedWork = {
  readonly planner: Planner;
  /** What every plan is made by. */
  readonly job: Omit<PlanJob, 'site'>;
  /** Whether every plan carries where it belongs. */
  readonly tellsSource: boolean;
  /** Aborted when nobody waits for answers any more. */
  readonly signal: AbortSignal;
};

/** A site with where its answer belongs. */
export type SourcedSite = { readonly site: SiteRecord; readonly source: AnswerSource };
export type SourcedAnswer = { readonly answer: PlanAnswer; readonly source: AnswerSource };

type Read = IteratorResult<SourcedSite, void>;

/**
 * Plans sites as they come and hands their answers on in the same order, one for each. Back-pressure both ways: no more than two sites
 * a worker are taken in before an answer is taken off, so that memory is the same however many there are.
 */
export async function* planInOrder(
  sites: AsyncIterable<SourcedSite>,
  work: OrderedWork,
): AsyncGenerator<SourcedAnswer, void, undefined> {
  const { signal } = work;
  const most = IN_FLIGHT * work.planner.load().workers;
  const flying: Promise<SourcedAnswer>[] = [];
  const source = sites[Symbol.asyncIterator]();
  let reading: Promise<Read> | undefined;
  let isEnd = false;
  try {
    while (!signal.aborted) {
      if (!isEnd && flying.length < most) reading ??= source.next();
      const next = await firstOf(flying[0], reading);
      if (next === undefined) return;
      if ('answer' in next) {
        flying.shift();
        yield next.answer;
        continue;
      }
      reading = undefined;
      if (next.read.done === true) isEnd = true;
      else flying.push(answerOf(next.read.value, work));
    }
  } finally {
    await source.return?.();
  }
}

/** An answer is handed on before another site is read. */
function firstOf(
  answering: Promise<SourcedAnswer> | undefined,
  reading: Promise<Read> | undefined,
): Promise<{ readonly answer: SourcedAnswer } | { readonly read: Read }> | undefined {
  const answer = answering?.then((value) => ({ answer: value }));
  const read = reading?.then((value) => ({ read: value }));
  return answer === undefined || read === undefined ? (answer ?? read) : Promise.race([answer, read]);
}

async function answerOf(
  { site, source }: SourcedSite,
  { planner, job, tellsSource, signal }: OrderedWork,
): Promise<SourcedAnswer> {
  if (site.outcome === 'refused') return { answer: site, source };
  const { bytes, elevation } = site;
  const asked = {
    ...job,
    site: bytes,
    ...(elevation !== undefined && { elevation }),
    ...(tellsSource && { also: { source } }),
  };
  for (;;) {
    const answer = await planner.plan(asked, signal);
    if (answer.outcome !== 'refused' || answer.code !== 'busy' || signal.aborted) return { answer, source };
    // Others keep the planner busy: this site waits its turn.
    await wait(BUSY_WAIT_MS);
  }
}
