import type { Deps, Module } from '#api/app.ts';
import { TryAgain } from '#api/house/runner.ts';
import { answerDocument } from '#api/ogc/answer.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { addressOf, type Link, REL } from '#api/ogc/links.ts';
import { table } from '#api/ogc/page.ts';
import { isSequence, keepSequence } from '#api/portfolio/keep-sequence.ts';
import { HttpProblem } from '#api/problems.ts';
import { answerResults } from './answer-results.ts';
import { describeProcess, processLinks, summaryOf } from './describe-process.ts';
import { PLAN_PORTFOLIO_PROCESS } from './plan-portfolio-process.ts';
import type { Outputs, Process } from './process.ts';
import { offeredProcess, offeredProcesses, PROCESSES } from './processes.ts';
import { type Execution, readExecution } from './read-execution.ts';
import { wholeNumber } from './read-jobs-query.ts';
import { selected } from './run-process.ts';
import { jobLinks, statusInfo } from './status-info.ts';

const PROCESS = `${ROOT_PATH}/processes/:processId` as const;
/** Behind the planning that follows a change of a site. */
const PRIORITY = 1;
const json = 'application/json';

export function processesLandingLinks(root: string): Link[] {
  return [
    { rel: `${REL}/processes`, href: `${root}/processes?f=json`, type: json, title: 'processes that can be run' },
    { rel: `${REL}/job-list`, href: `${root}/jobs?f=json`, type: json, title: 'jobs: processes that were run' },
  ];
}

/** What can be run, and running it (OGC API - Processes - Part 1: Core). */
export const processesModule: Module = {
  name: 'processes',
  mount(app, deps) {
    app.get(`${ROOT_PATH}/processes`, async (c) => {
      const exchange = await openExchange(c, deps, 'read', ['limit', 'after']);
      return answerProcesses(exchange, offeredProcesses(deps.settings));
    });
    app.get(PROCESS, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const process = offeredProcess(deps.settings, c.req.param('processId'));
      const { links, ...summary } = summaryOf(process, processLinks(exchange.root, process));
      const { inputs, outputs } = describeProcess(process);
      const rows = [...Object.entries(inputs), ...Object.entries(outputs)].map(([id, { description }], i) => [
        i < Object.keys(inputs).length ? 'input' : 'output',
        id,
        description,
      ]);
      const html = table(['', 'id', 'what it is'], rows);
      return answerDocument(exchange, { ...process, links, json: { ...summary, inputs, outputs }, html });
    });
    app.post(`${PROCESS}/execution`, async (c) => {
      const exchange = await openExchange(c, deps, 'run', ['rules']);
      const process = offeredProcess(deps.settings, c.req.param('processId'));
      if (process === PLAN_PORTFOLIO_PROCESS && isSequence(c.req.raw)) {
        await refuseMoreJobs(exchange, deps);
        return answerAccepted(exchange, await keepSequence(exchange, deps));
      }
      const execution = await readExecution(c.req.raw, process, exchange.root, deps.limits);
      const isAsync = (c.req.header('prefer') ?? '').split(/[,;]/).some((word) => /^\s*respond-async\s*$/i.test(word));
      if (isAsync || process.isJobOnly) return acceptJob(exchange, process, execution, deps);
      const outputs = await runNow(exchange, process, execution, deps);
      return answerResults(exchange, process, { ...execution, outputs: selected(outputs, execution) });
    });
  },
};

function answerProcesses(exchange: Exchange, all: readonly Process[]): Response {
  const { root, query } = exchange;
  const limit = wholeNumber(query, 'limit', 1) ?? all.length;
  const after = query.get('after');
  const start = after === undefined ? 0 : all.findIndex(({ id }) => id === after) + 1;
  const shown = all.slice(start, start + limit);
  const summaries = shown.map((process) =>
    summaryOf(process, [
      { rel: 'self', href: `${root}/processes/${process.id}`, type: json, title: 'description' },
      ...processLinks(root, process),
    ]),
  );
  const last = shown.at(-1);
  const isMore = start + limit < all.length && last !== undefined;
  return answerDocument(exchange, {
    title: 'Processes',
    links: isMore ? [{ rel: 'next', href: addressOf(exchange, { after: last.id }), type: json, title: 'more' }] : [],
    json: { processes: summaries },
    html: table(
      ['process', 'what it does'],
      shown.map(({ id, title, description }) => [{ href: `${root}/processes/${id}?f=html`, text: title }, description]),
    ),
  });
}

async function acceptJob(exchange: Exchange, { id: processId }: Process, execution: Execution, { settings }: Deps) {
  await refuseMoreJobs(exchange, { settings });
  const { house, access } = exchange;
  const { queue, database } = house.store;
  const id = house.newId();
  const { tenant } = access;
  const request = JSON.stringify(execution);
  const keepMs = settings.resultsKeptMs;
  await database.write(queue.add({ id, tenant, processId, subject: null, request, priority: PRIORITY, keepMs }));
  return answerAccepted(exchange, id);
}

async function refuseMoreJobs({ house, access }: Exchange, { settings }: Pick<Deps, 'settings'>): Promise<void> {
  const kept = await house.store.queue.look.count(
    access.tenant,
    PROCESSES.map(({ id }) => id),
  );
  if (kept >= settings.jobsMax) {
    throw new HttpProblem({
      code: 'quota',
      detail: `${kept} jobs are kept already (LOOPWRIGHT_JOBS_MAX): dismiss those that are no longer needed`,
    });
  }
}

async function answerAccepted({ house, access, root }: Exchange, id: string): Promise<Response> {
  house.runner.wake();
  const job = await house.store.queue.look.one(access.tenant, id);
  if (job === undefined) throw new Error(`the job ${id} was written and is not there`);
  return new Response(JSON.stringify({ ...statusInfo(job), links: jobLinks(root, job) }), {
    status: 201,
    headers: { 'content-type': json, location: `${root}/jobs/${id}`, 'preference-applied': 'respond-async' },
  });
}

/** Runs beside the queue: nothing is kept, and what is asked at once is not kept waiting. */
async function runNow(
  { c, house, access }: Exchange,
  process: Process,
  { inputs }: Execution,
  deps: Deps,
): Promise<Outputs> {
  const { planner, limits } = deps;
  const progress = async () => {};
  try {
    return await process.run(inputs, {
      tenant: access.tenant,
      store: house.store,
      planner,
      limits,
      progress,
      signal: c.req.raw.signal,
    });
  } catch (error) {
    if (!(error instanceof TryAgain)) throw error;
    throw new HttpProblem({ code: 'busy', detail: error.message, headers: { 'retry-after': '5' } });
  }
}
