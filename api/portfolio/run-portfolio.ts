import type { Work } from '#api/house/runner.ts';
import type { Execution } from '#api/processes/read-execution.ts';
import type { KeptResult } from '#api/processes/run-process.ts';
import type { Job, JobEnd } from '#api/queue/queue.ts';
import type { Store } from '#api/store/open-store.ts';
import { addSite, beginPortfolio, type PortfolioState, totalStatement } from '#api/store/portfolios.ts';
import { CHUNK_PROCESS, type Chunk } from './plan-chunk.ts';
import { optionsOf, sitesOfPortfolio } from './sites-of-portfolio.ts';
import { sumUp } from './sum-up.ts';

/** Sites of one chunk: a second or so of work, so that a worker that dies loses little and tenants take turns often. */
const CHUNK_SITES = 40;
const BATCH = 200;
/** Behind everything that somebody waits for. */
const PRIORITY = 2;

/** A portfolio is gathered, parted in chunks, and summed up when the last of them wakes it again; each step can be done twice. */
export async function runPortfolio(job: Job, work: Work, store: Store): Promise<JobEnd> {
  const known = await store.portfolios.state(job.id);
  const execution: Execution = JSON.parse(job.request);
  const count = known?.total == null ? await gathered(job, execution, work, store) : sitesIn(known);
  if (known?.total != null && known.done === known.total) return summedUp(job, execution, store);
  if (count === 0) return summedUp(job, execution, store);
  return { status: 'parted', parts: chunks(job, count, store) };
}

function sitesIn({ total, options }: PortfolioState): number {
  return (total ?? 0) / options.length;
}

/** Writes the list of sites; returns how many there are. */
async function gathered({ id, tenant }: Job, { inputs }: Execution, work: Work, store: Store): Promise<number> {
  const options = optionsOf(inputs.rules);
  const write = async (statements: Parameters<Store['database']['write']>[0]) => {
    if ((await store.database.write([work.hold, ...statements])) === undefined) await work.progress(0, 'gone');
  };
  await write(beginPortfolio(id, options));
  let count = 0;
  let batch = [];
  for await (const site of sitesOfPortfolio(store, tenant, inputs)) {
    batch.push(addSite(id, count++, site));
    if (batch.length < BATCH) continue;
    await write(batch);
    batch = [];
    await work.progress(0, `${count} sites gathered`);
  }
  await write([...batch, totalStatement(id, count * options.length)]);
  return count;
}

function chunks({ id, tenant }: Job, count: number, { queue }: Store) {
  const number = Math.ceil(count / CHUNK_SITES);
  return Array.from({ length: number }, (_, i) => {
    const chunk: Chunk = { portfolio: id, from: i * CHUNK_SITES, before: Math.min(count, (i + 1) * CHUNK_SITES) };
    return queue.add({
      id: `${id}.${i}`,
      tenant,
      processId: CHUNK_PROCESS,
      subject: null,
      request: JSON.stringify(chunk),
      priority: PRIORITY,
      keepMs: 0,
      parent: id,
    });
  }).flat();
}

async function summedUp({ id }: Job, { response }: Execution, store: Store): Promise<JobEnd> {
  const outputs = { summary: await sumUp(store.portfolios, id) };
  const kept: KeptResult = { response, outputs };
  return { status: 'successful', result: new TextEncoder().encode(JSON.stringify(kept)) };
}
