import type { Module } from '#api/app.ts';
import { answerDocument } from '#api/ogc/answer.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { addressOf } from '#api/ogc/links.ts';
import { table } from '#api/ogc/page.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Job } from '#api/queue/queue.ts';
import { answerResults } from './answer-results.ts';
import { EXCEPTION, PROCESSES } from './processes.ts';
import { JOB_PARAMETERS, readJobsQuery, writePlace } from './read-jobs-query.ts';
import type { KeptResult } from './run-process.ts';
import { jobLinks, statusInfo } from './status-info.ts';

const JOB = `${ROOT_PATH}/jobs/:jobId` as const;

/** Jobs of a firm: where they are, what they gave, and stopping them. */
export const jobsModule: Module = {
  name: 'jobs',
  mount(app, deps) {
    app.get(`${ROOT_PATH}/jobs`, async (c) => {
      const exchange = await openExchange(c, deps, 'read', JOB_PARAMETERS);
      forbidShares(exchange);
      const { house, access, root } = exchange;
      const { filter, limit } = readJobsQuery(exchange.query);
      const found = await house.store.queue.look.list(access.tenant, filter, limit + 1);
      const jobs = found.slice(0, limit);
      const last = jobs.at(-1);
      const isMore = found.length > limit && last !== undefined;
      return answerDocument(exchange, {
        title: 'Jobs',
        description: `Jobs and their results are kept for ${deps.settings.resultsKeptMs / 3_600_000} hours once they have ended.`,
        links: isMore
          ? [
              {
                rel: 'next',
                href: addressOf(exchange, { after: writePlace(last) }),
                type: 'application/json',
                title: 'more',
              },
            ]
          : [],
        json: { jobs: jobs.map((job) => ({ ...statusInfo(job), links: jobLinks(root, job) })) },
        html: table(
          ['job', 'process', 'status', 'percent', 'created'],
          jobs.map(({ id, processId, status, progress, created }) => [
            { href: `${root}/jobs/${id}?f=html`, text: id },
            processId,
            status,
            String(progress),
            created,
          ]),
        ),
      });
    });
    app.get(JOB, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const job = await visibleJob(exchange, c.req.param('jobId'));
      const info = statusInfo(job);
      const html = table(
        [],
        Object.entries(info).map(([name, value]) => [name, String(value)]),
      );
      return answerDocument(exchange, {
        title: `Job ${job.id}`,
        links: jobLinks(exchange.root, job),
        json: info,
        html,
      });
    });
    app.get(`${JOB}/results`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const job = await visibleJob(exchange, c.req.param('jobId'));
      const { process, ...kept } = await resultOf(exchange, job);
      return answerResults(exchange, process, kept);
    });
    app.delete(JOB, async (c) => {
      const exchange = await openExchange(c, deps, 'run');
      const { id, finished } = await visibleJob(exchange, c.req.param('jobId'));
      const job = await exchange.house.store.queue.dismiss(exchange.access.tenant, id);
      if (job === undefined) throw noSuchJob(id);
      // One that had ended is forgotten: nothing is left at its address.
      const links = jobLinks(exchange.root, job).filter(({ rel }) => finished === null || rel !== 'status');
      return c.json({ ...statusInfo(job), links });
    });
  },
};

/** Who looks at one shared site has no business with the firm's jobs. */
function forbidShares({ access }: Exchange): void {
  if (access.siteId !== undefined) {
    throw new HttpProblem({ code: 'forbidden', detail: 'a share shows one site and its plan' });
  }
}

/** /req/core/job-exception/no-such-job; jobs that the service queues for itself are not shown. */
export async function visibleJob(exchange: Exchange, id: string): Promise<Job> {
  forbidShares(exchange);
  const job = await exchange.house.store.queue.look.one(exchange.access.tenant, id);
  if (job !== undefined && PROCESSES.some((process) => process.id === job.processId)) return job;
  throw noSuchJob(id);
}

function noSuchJob(id: string): HttpProblem {
  return new HttpProblem({
    code: 'no-such-job',
    type: `${EXCEPTION}/no-such-job`,
    detail: `there is no job "${id.slice(0, 80)}"`,
  });
}

/** What the job gave; throws why there is nothing: it is not ready, was dismissed, or failed (then with the status of its failure). */
async function resultOf({ house, access }: Exchange, { id, processId, status, progress, problem }: Job) {
  if (status === 'accepted' || status === 'running') {
    throw new HttpProblem({
      code: 'result-not-ready',
      type: `${EXCEPTION}/result-not-ready`,
      detail: `the job is ${status}, ${progress} % done`,
    });
  }
  if (problem !== null) throw new HttpProblem(JSON.parse(problem));
  const bytes = await house.store.queue.look.result(access.tenant, id);
  const process = PROCESSES.find((known) => known.id === processId);
  if (bytes === undefined || process === undefined) {
    throw new HttpProblem({ code: 'not-found', detail: `the job was ${status}: there are no results` });
  }
  const kept: KeptResult = JSON.parse(new TextDecoder().decode(bytes));
  return { process, ...kept };
}
