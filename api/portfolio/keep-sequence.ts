import type { Deps } from '#api/app.ts';
import type { Exchange } from '#api/ogc/exchange.ts';
import { mediaTypeOf, STREAM_TYPES } from '#api/plan/read-plan-request.ts';
import { HttpProblem } from '#api/problems.ts';
import { PLAN_PORTFOLIO_PROCESS } from '#api/processes/plan-portfolio-process.ts';
import type { Given } from '#api/processes/process.ts';
import type { Execution } from '#api/processes/read-execution.ts';
import type { Statement } from '#api/store/database.ts';
import { addSite, beginPortfolio, type GatheredSite, totalStatement } from '#api/store/portfolios.ts';
import type { SiteRecord } from '#api/stream/site-record.ts';
import { sitesOfBody } from '#api/stream/sites-of-body.ts';
import { optionsOf } from './sites-of-portfolio.ts';

const BATCH = 100;
/** A batch is written when it holds so many bytes. */
const BATCH_BYTES = 4 * 1024 * 1024;
const PRIORITY = 1;
const UNFINISHED = JSON.stringify({
  code: 'invalid-body',
  detail: 'its sites did not come to their end: send them again',
});
/** With these a body ends before its time. */
const BROKEN = new Set(['invalid-body', 'time-limit']);

export function isSequence(request: Request): boolean {
  const mediaType = mediaTypeOf(request);
  return STREAM_TYPES.some((known) => known === mediaType);
}

/**
 * Keeps sites that are sent one after the other and makes a portfolio's job of them; returns its id. Until the last of them is kept the
 * job counts as failed, so that nothing is planned of half a sequence, whatever happens meanwhile.
 */
export async function keepSequence(exchange: Exchange, deps: Deps): Promise<string> {
  const { c, house, access, query } = exchange;
  const { queue, database } = house.store;
  const { limits, settings } = deps;
  const execution = executionOf(query.get('rules'));
  const options = optionsOf(execution.inputs.rules);
  const gone = new AbortController();
  const sites = sitesOfBody(c.req.raw, {
    form: 'records',
    bytesMax: limits.bodyBytesMax,
    msMax: limits.streamMsMax,
    signal: gone.signal,
    onChunk: () => undefined,
  });
  const id = house.newId();
  const job = { id, tenant: access.tenant, processId: PLAN_PORTFOLIO_PROCESS.id, subject: null, priority: PRIORITY };
  await database.write([
    ...queue.add({ ...job, request: JSON.stringify(execution), keepMs: settings.resultsKeptMs }),
    { sql: "update job set status = 'failed', problem = ? where id = ?", values: [UNFINISHED, id] },
    ...beginPortfolio(id, options),
  ]);
  try {
    let [count, bytes] = [0, 0];
    let batch: Statement[] = [];
    for await (const record of sites) {
      if (count >= settings.sitesMax) {
        throw new HttpProblem({
          code: 'quota',
          detail: `a portfolio has at most ${settings.sitesMax} sites (LOOPWRIGHT_SITES_MAX)`,
        });
      }
      batch.push(addSite(id, count++, keptSite(record)));
      bytes += record.outcome === 'read' ? record.bytes.length : 0;
      if (batch.length < BATCH && bytes < BATCH_BYTES) continue;
      await database.write(batch);
      batch = [];
      bytes = 0;
    }
    await database.write([
      ...batch,
      totalStatement(id, count * options.length),
      { sql: "update job set status = 'accepted', problem = null where id = ?", values: [id] },
    ]);
  } catch (error) {
    gone.abort();
    await database.write([{ sql: 'delete from job where id = ?', values: [id] }]);
    throw error;
  }
  return id;
}

function executionOf(rules: string | undefined): Execution {
  const names = rules?.split(',') ?? [];
  const given = names.map((value): Given => ({ value, pointer: '/rules' }));
  const faults = given.flatMap(({ value }) => PLAN_PORTFOLIO_PROCESS.inputs.rules.faults(value));
  if (faults.length > 0 || given.length > PLAN_PORTFOLIO_PROCESS.inputs.rules.maxOccurs) {
    throw new HttpProblem({ code: 'invalid-parameter', detail: 'rules are names of rule sets, at most twelve' });
  }
  return { inputs: given.length > 0 ? { rules: given } : {}, outputs: ['summary'], response: 'raw' };
}

function keptSite(record: SiteRecord): GatheredSite {
  if (record.outcome === 'read') return { body: record.bytes };
  const { code, detail } = record;
  if (BROKEN.has(code)) throw new HttpProblem({ code, detail });
  return { fault: { code, detail } };
}
