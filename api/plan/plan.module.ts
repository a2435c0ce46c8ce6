import { compress } from 'hono/compress';
import type { Module } from '#api/app.ts';
import { HttpProblem } from '#api/problems.ts';
import { answerStream } from '#api/stream/answer-stream.ts';
import { readStreamRequest } from '#api/stream/read-stream-request.ts';
import type { FailedAnswer, RefusedAnswer } from './plan-job.ts';
import { readPlanRequest } from './read-plan-request.ts';

const RETRY_AFTER_S = '5';

/** `POST /plan`: a site in, its plan out; many sites in, a line for each out. */
export const planModule: Module = {
  name: 'plan',
  mount(app, deps) {
    const { planner, limits, log } = deps;
    let streams = 0;
    app.use('/plan', compress());
    app.post('/plan', async (c) => {
      const many = readStreamRequest(c.req.raw, limits);
      if (many !== undefined) {
        if (streams >= limits.streamsMax) {
          throw busyProblem(`${streams} streams of sites run already (LOOPWRIGHT_STREAMS_MAX): try again later`);
        }
        const onEnd = () => {
          streams--;
        };
        const answer = answerStream(c.req.raw, many, { ...deps, requestId: c.get('requestId'), onEnd });
        streams++;
        return answer;
      }
      const { workers, busy, waiting, waitingMax } = planner.load();
      if (busy === workers && waiting >= waitingMax)
        throw busyProblem(`${waiting} requests wait already: try again later`);
      const job = await readPlanRequest(c.req.raw, limits);
      const answer = await planner.plan(job, c.req.raw.signal);
      if (answer.outcome === 'refused') throw refusedProblem(answer);
      if (answer.outcome === 'failed') throw failure(answer);
      log({ event: 'plan', requestId: c.get('requestId'), siteBytes: job.site.length, planBytes: answer.body.length });
      return new Response(Uint8Array.from(answer.body), {
        headers: { ...answer.headers, 'content-type': answer.mediaType, 'cache-control': 'no-store' },
      });
    });
  },
};

function busyProblem(detail: string): HttpProblem {
  return new HttpProblem({ code: 'busy', detail, headers: { 'retry-after': RETRY_AFTER_S } });
}

function refusedProblem({ code, detail, problems, more }: RefusedAnswer): HttpProblem {
  if (code === 'busy') return busyProblem(detail);
  const errors = problems.map(({ pointer, message }) => ({ pointer, detail: message }));
  return new HttpProblem({ code, detail, errors, more });
}

function failure({ trace }: FailedAnswer): Error {
  const error = new Error('planning failed');
  error.stack = trace;
  return error;
}
