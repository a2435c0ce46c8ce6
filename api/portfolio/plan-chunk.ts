import { createHash } from 'node:crypto';
import type { HouseWorld } from '#api/house/house.ts';
import type { Work } from '#api/house/runner.ts';
import type { PlanAnswer } from '#api/plan/plan-job.ts';
import { refusal } from '#api/plan/plan-job.ts';
import { readJson } from '#api/plan/read-json.ts';
import { siteOfGround } from '#api/plan/site-of-ground.ts';
import { type Job, type JobEnd, wakeParent } from '#api/queue/queue.ts';
import { presentSite, siteDocument, withBooks } from '#api/sites/site-document.ts';
import type { Statement } from '#api/store/database.ts';
import type { Store } from '#api/store/open-store.ts';
import {
  attemptStatement,
  type NewRow,
  type PortfolioOption,
  type PortfolioSite,
  rowKey,
  rowStatements,
} from '#api/store/portfolios.ts';
import { planInOrder, type SourcedSite } from '#api/stream/plan-in-order.ts';
import type { SiteRecord } from '#api/stream/site-record.ts';
import { isObject } from '#geo-core/model/is-object.ts';

export const CHUNK_PROCESS = 'plan-chunk';

/** The sites of a portfolio from one number to before another. */
export type Chunk = { readonly portfolio: string; readonly from: number; readonly before: number };

/** What is done is written at the latest after so long, milliseconds, so that it can be read while the rest is planned. */
const WRITE_EVERY_MS = 1_000;
/** A chunk that was begun so often has ended its process: its sites are planned one by one from then on. */
const CAREFUL_FROM = 2;
/** A site that has ended its process so often is refused. */
const SITE_ATTEMPTS_MAX = 2;

type Task = { readonly site: PortfolioSite; readonly option: number; readonly rules: unknown };
type Prepared = Pick<NewRow, 'number' | 'option' | 'siteId' | 'name' | 'inputHash'> & { readonly record: SiteRecord };

/**
 * Plans what is left of a chunk and writes each plan once: under the lease of the chunk, with the count of the whole, and the last one wakes the
 * portfolio. Whoever takes the chunk up after a crash goes on behind what is written.
 */
export async function planChunk(job: Job, work: Work, store: Store, world: HouseWorld): Promise<JobEnd> {
  const { portfolio, from, before }: Chunk = JSON.parse(job.request);
  const state = await store.portfolios.state(portfolio);
  if (state === undefined) return { status: 'gone' };
  const done = await store.portfolios.done(portfolio, from, before);
  const tasks = tasksOf(await store.portfolios.sites(portfolio, from, before), state.options, done);
  const writer = rowWriter(portfolio, work, store, world);
  if (job.attempts < CAREFUL_FROM) await planTasks(tasks, job, work, store, world, writer);
  else {
    for (const task of tasks) {
      await writer.begin(task.site.number);
      const isPoison = task.site.attempts >= SITE_ATTEMPTS_MAX;
      if (isPoison) writer.take(await prepared(task, job.tenant, store, world), poison(task.site.attempts));
      else await planTasks([task], job, work, store, world, writer);
      await writer.flush();
    }
  }
  await writer.flush();
  if (work.signal.aborted) await work.progress(0, 'given up');
  return { status: 'gone' };
}

function tasksOf(
  sites: readonly PortfolioSite[],
  options: readonly PortfolioOption[],
  done: ReadonlySet<string>,
): Task[] {
  return sites.flatMap((site) =>
    options
      .map(({ rules }, option) => ({ site, option, rules }))
      .filter(({ option }) => !done.has(rowKey(site.number, option))),
  );
}

async function planTasks(
  tasks: readonly Task[],
  { tenant }: Job,
  { signal }: Work,
  store: Store,
  world: HouseWorld,
  writer: ReturnType<typeof rowWriter>,
): Promise<void> {
  const waiting: Prepared[] = [];
  async function* sourced(): AsyncGenerator<SourcedSite, void, undefined> {
    for (const [record, task] of tasks.entries()) {
      const ready = await prepared(task, tenant, store, world);
      waiting.push(ready);
      yield { site: ready.record, source: { record } };
    }
  }
  const job = { format: 'geojson', limits: world.limits, wantsFigures: true } as const;
  for await (const { answer } of planInOrder(sourced(), { planner: world.planner, job, tellsSource: false, signal })) {
    const ready = waiting.shift();
    if (signal.aborted || ready === undefined) return;
    writer.take(ready, answer);
    if (writer.isDue()) await writer.flush();
  }
}

/** The site as it is to be planned, with what the firm keeps in place of names, and the digest of all of it. */
async function prepared(
  { site, option, rules }: Task,
  tenant: string,
  store: Store,
  { version, limits }: HouseWorld,
): Promise<Prepared> {
  const { number, siteId } = site;
  const given = await givenDocument(site, tenant, store, limits.nestingMax);
  const base = { number, option, siteId };
  if ('record' in given)
    return { ...base, name: null, inputHash: digestOf(version, '', given.record.detail), record: given.record };
  const { document, grid } = await withBooks(store, tenant, { ...given.document, ...(rules !== null && { rules }) });
  const text = JSON.stringify(document);
  const name = typeof document.name === 'string' ? document.name : null;
  const record: SiteRecord = {
    outcome: 'read',
    bytes: new TextEncoder().encode(text),
    ...(grid !== undefined && { elevation: { bytes: grid.bytes, fileName: grid.fileName } }),
  };
  return { ...base, name, inputHash: digestOf(version, grid?.digest ?? '', text), record };
}

type Given = { readonly document: Readonly<Record<string, unknown>> } | { readonly record: ReturnType<typeof refusal> };

async function givenDocument(
  { siteId, body, fault }: PortfolioSite,
  tenant: string,
  store: Store,
  nestingMax: number,
): Promise<Given> {
  if (siteId !== null) {
    const present = await presentSite(store, tenant, siteId);
    if (present === undefined) return { record: refusal('not-found', `there is no site "${siteId.slice(0, 80)}"`) };
    return { document: siteDocument(present.record, present.features) };
  }
  if (fault !== null) return { record: refusal(fault.code, fault.detail) };
  const read = readJson(body ?? new Uint8Array(0), nestingMax);
  if ('detail' in read) return { record: refusal('invalid-json', read.detail) };
  const document = siteOfGround(read.json) ?? read.json;
  return isObject(document)
    ? { document }
    : { record: refusal('invalid-site', 'a site is a GeoJSON FeatureCollection') };
}

function digestOf(...parts: readonly string[]): string {
  return createHash('sha256').update(parts.join('\n')).digest('hex');
}

function poison(attempts: number): PlanAnswer {
  return refusal('internal', `planning this site ended the whole process ${attempts} times: it is left out`);
}

/** Gathers rows and writes them together with the count; throws where the chunk is no longer ours. */
function rowWriter(portfolio: string, work: Work, { database }: Store, { log, now }: HouseWorld) {
  let rows: NewRow[] = [];
  let writtenMs = performance.now();
  const write = async (statements: readonly Statement[]) => {
    if ((await database.write([work.hold, ...statements])) !== undefined) return;
    await work.progress(0, 'given up');
    throw new Error('a chunk that is ours could not be written');
  };
  return {
    begin: (number: number) => write([attemptStatement(portfolio, number)]),
    take({ record: _, ...row }: Prepared, answer: PlanAnswer): void {
      if (answer.outcome === 'planned') {
        const { figures = null, body } = answer;
        rows.push({ ...row, at: figures?.at ?? null, figures, code: null, problem: null, plan: body });
        return;
      }
      if (answer.outcome === 'failed') log({ event: 'failure', job: portfolio, trace: answer.trace });
      const told = answer.outcome === 'refused' ? answer : refusal('internal', 'this is a defect of the service');
      const [first] = told.problems;
      const problem = first === undefined ? told.detail : `${told.detail}: ${first.pointer} ${first.message}`;
      rows.push({ ...row, at: null, figures: null, code: told.code, problem, plan: null });
    },
    isDue: () => performance.now() - writtenMs > WRITE_EVERY_MS,
    async flush(): Promise<void> {
      const written = rows;
      rows = [];
      writtenMs = performance.now();
      if (written.length === 0) return;
      await write([...rowStatements(portfolio, written), told(portfolio, now()), woken(portfolio)]);
    },
  };
}

function told(portfolio: string, at: string): Statement {
  const of = (what: string) => `(select ${what} from portfolio where job_id = ?)`;
  return {
    sql: `update job set progress = ${of('99 * done / total')}, message = ${of("done || ' of ' || total || ' plans, ' || refused || ' refused'")},
      updated_at = ? where id = ? and status = 'running'`,
    values: [portfolio, portfolio, at, portfolio],
  };
}

function woken(portfolio: string): Statement {
  return wakeParent(portfolio, 'exists (select 1 from portfolio where job_id = ? and done = total)', [portfolio]);
}
