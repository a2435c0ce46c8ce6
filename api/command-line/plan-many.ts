import { createHash } from 'node:crypto';
import { createReadStream, statSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import type { PlanJob } from '#api/plan/plan-job.ts';
import { type PoolSettings, workerPool } from '#api/plan/worker-pool.ts';
import { type AnswerSource, answerLine, SEQUENCES } from '#api/stream/answer-line.ts';
import { planInOrder, type SourcedSite } from '#api/stream/plan-in-order.ts';
import type { SitesForm } from '#api/stream/read-stream-request.ts';
import type { SiteRecord } from '#api/stream/site-record.ts';
import { splitRecords } from '#api/stream/split-records.ts';
import { splitSites } from '#api/stream/split-sites.ts';
import { count, newTally, outcomeOf, type Tally } from '#api/stream/tally.ts';
import { type Answered, answeredSoFar } from './answered-so-far.ts';
import { type Progress, showProgress } from './show-progress.ts';
import { WrongCall } from './wrong-call.ts';

export type ManySites = {
  readonly input: string;
  readonly form: SitesForm;
  readonly output: string;
  /** What every plan is made by. */
  readonly job: Omit<PlanJob, 'site'>;
  readonly pool: PoolSettings;
  /** Of the program: another version may make other plans. */
  readonly version: string;
  readonly progress: Progress;
  /** Is given defects of ours. */
  readonly onFailure: (trace: string) => void;
};

const SEQUENCE_NAMES = /\.geojsons(eq)?$/i;

/**
 * Plans a file of sites into a file of answers, one line a site, in order. Every answer carries the digest of everything asked for up to it:
 * a run that was interrupted, however hard, goes on behind its last whole answer, and never behind the answers to another question.
 * Throws `WrongCall` for files that cannot be read or written.
 */
export async function planMany(many: ManySites): Promise<Tally> {
  const { input, output, job, onFailure } = many;
  const sizeBytes = (await said(input, () => statSync(input))).size;
  const known = await said(output, () => answeredSoFar(output));
  const before = known ?? { answers: 0, bytes: 0, chain: undefined, tally: newTally(), isOurs: true };
  if (!before.isOurs) throw new WrongCall(`"${output}" holds something else than answers: name another file`);
  const { tally } = before;
  const handle = await said(output, () => open(output, known === undefined ? 'wx' : 'r+'));
  const planner = workerPool(many.pool);
  const shown = showProgress(many.progress, tally, sizeBytes);
  try {
    const sites = linked(many, (bytes) => shown.read(bytes));
    await passOver(sites, before, output);
    await said(output, () => handle.truncate(before.bytes));
    shown.begun();
    let at = before.bytes;
    const sequence = SEQUENCES[SEQUENCE_NAMES.test(output) ? 0 : 1];
    const gone = new AbortController();
    for await (const { answer, source } of planInOrder(sites, {
      planner,
      job,
      tellsSource: true,
      signal: gone.signal,
    })) {
      if (answer.outcome === 'failed') onFailure(answer.trace);
      const line = answerLine(answer, source, sequence);
      await said(output, () => writeWhole(handle, line, at));
      at += line.length;
      count(tally, outcomeOf(answer));
      shown.answered();
    }
  } finally {
    shown.close();
    await planner.close();
    await handle.close();
  }
  return tally;
}

/** The sites of the file with what their answers carry: each link of the chain is a digest of the one before and of the site. */
async function* linked(many: ManySites, onRead: (bytes: number) => void): AsyncGenerator<SourcedSite, void, undefined> {
  const { input, form, job, version } = many;
  const split = form === 'records' ? splitRecords : splitSites;
  let chain = digestOf('', JSON.stringify([version, form, job]));
  let record = 0;
  for await (const site of split(chunksOf(input, onRead), job.limits.bodyBytesMax)) {
    chain = digestOf(chain, site);
    yield { site, source: { record: record++, chain } };
  }
}

function digestOf(chain: string, next: SiteRecord | string): string {
  const hash = createHash('sha256').update(chain);
  if (typeof next === 'string') hash.update(next);
  else hash.update(next.outcome === 'read' ? next.bytes : next.detail);
  return hash.digest('base64url');
}

async function* chunksOf(path: string, onRead: (bytes: number) => void): AsyncGenerator<Uint8Array, void, undefined> {
  const file = createReadStream(path, { highWaterMark: 1 << 18 });
  try {
    for await (const chunk of file) {
      const bytes: Buffer = chunk;
      onRead(bytes.length);
      yield bytes;
    }
  } catch (error) {
    throw new WrongCall(`"${path}" cannot be read: ${error instanceof Error ? error.message : String(error)}`);
  } finally {
    file.destroy();
  }
}

async function passOver(
  sites: AsyncGenerator<SourcedSite>,
  { answers, chain }: Answered,
  output: string,
): Promise<void> {
  let source: AnswerSource | undefined;
  for (let i = 0; i < answers; i++) {
    const next = await sites.next();
    source = next.done === true ? undefined : next.value.source;
    if (source === undefined) break;
  }
  if (answers === 0 || source?.chain === chain) return;
  throw new WrongCall(
    `"${output}" holds ${answers} answers to other sites, options or another version: name another file, or remove it`,
  );
}

async function writeWhole(handle: FileHandle, bytes: Uint8Array, at: number): Promise<void> {
  for (let done = 0; done < bytes.length; ) {
    done += (await handle.write(bytes, done, bytes.length - done, at + done)).bytesWritten;
  }
}

/** What the disk says is no defect of ours. */
async function said<Value>(path: string, doing: () => Value | Promise<Value>): Promise<Value> {
  try {
    return await doing();
  } catch (error) {
    throw new WrongCall(`"${path}": ${error instanceof Error ? error.message : String(error)}`);
  }
}
