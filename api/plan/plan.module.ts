import { compress } from 'hono/compress';
import type { Module } from '#api/app.ts';
import { answerStream } from '#api/stream/answer-stream.ts';
import { readStreamRequest } from '#api/stream/read-stream-request.ts';
import { busyProblem, plannedOrProblem } from './planned-or-problem.ts';
import { readPlanRequest } from './read-plan-request.ts';

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
      const answer = plannedOrProblem(await planner.plan(job, c.req.raw.signal));
      log({ event: 'plan', requestId: c.get('requestId'), siteBytes: job.site.length, planBytes: answer.body.length });
      return new Response(Uint8Array.from(answer.body), {
        headers: { ...answer.headers, 'content-type': answer.mediaType, 'cache-control': 'no-store' },
      });
    });
  },
};
