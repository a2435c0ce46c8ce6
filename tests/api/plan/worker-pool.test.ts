import { afterEach, describe, expect, it } from 'vitest';
import type { PlanJob } from '#api/plan/plan-job.ts';
import { type Planner, type PoolSettings, workerPool } from '#api/plan/worker-pool.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import { garden } from '../../support/garden.ts';

const { limits } = readConfig({}, 2);
const pools: Planner[] = [];
function pool(settings: Partial<PoolSettings> = {}): Planner {
  const made = workerPool({
    workers: 1,
    queueMax: 4,
    workerMemoryMb: 256,
    kernelBytes: readKernelBytes(),
    ...settings,
  });
  pools.push(made);
  return made;
}
afterEach(async () => {
  await Promise.all(pools.splice(0).map((made) => made.close()));
});

function job(site: unknown = garden(), limited: Partial<PlanJob['limits']> = {}): PlanJob {
  const bytes = new TextEncoder().encode(JSON.stringify(site));
  return { site: bytes, format: 'geojson', limits: { ...limits, ...limited } };
}

describe('worker pool', () => {
  it('plans one after the other with one worker, all at once with several', async () => {
    const one = pool();
    const answers = await Promise.all([one.plan(job()), one.plan(job()), one.plan(job())]);
    expect(answers.map(({ outcome }) => outcome)).toEqual(['planned', 'planned', 'planned']);
    const two = pool({ workers: 2 });
    const running = [two.plan(job()), two.plan(job())];
    expect(two.load()).toEqual({ workers: 2, busy: 2, waiting: 0, waitingMax: 4 });
    expect((await Promise.all(running)).map(({ outcome }) => outcome)).toEqual(['planned', 'planned']);
    expect(two.load()).toMatchObject({ busy: 0 });
  });

  it('gives up a plan that takes too long, says the limit, and plans the next', async () => {
    const planner = pool();
    const late = await planner.plan(job(garden(), { planningMsMax: 1 }));
    expect(late).toMatchObject({ outcome: 'refused', code: 'time-limit', detail: expect.stringContaining('0.001 s') });
    expect(await planner.plan(job())).toMatchObject({ outcome: 'planned' });
  });

  it('gives up a plan that takes too much memory, and plans the next', async () => {
    const planner = pool({ workerMemoryMb: 64 });
    const heavy = { ...garden(), padding: Array.from({ length: 300_000 }, (_, i) => ({ i: [{ a: i }, [i]] })) };
    expect(await planner.plan(job(heavy))).toMatchObject({ outcome: 'refused', code: 'memory-limit' });
    expect(await planner.plan(job())).toMatchObject({ outcome: 'planned' });
  });

  it('turns away what can neither run nor wait', async () => {
    const planner = pool({ queueMax: 1 });
    const [running, waiting, refused] = [planner.plan(job()), planner.plan(job()), planner.plan(job())];
    expect(await refused).toMatchObject({ outcome: 'refused', code: 'busy' });
    expect((await Promise.all([running, waiting])).map(({ outcome }) => outcome)).toEqual(['planned', 'planned']);
  });

  it('drops a job whose asker has gone while it waited', async () => {
    const planner = pool();
    const gone = new AbortController();
    const running = planner.plan(job());
    const waiting = planner.plan(job(), gone.signal);
    gone.abort();
    expect(await waiting).toMatchObject({ outcome: 'refused', code: 'busy' });
    expect(planner.load()).toMatchObject({ busy: 1, waiting: 0 });
    expect(await running).toMatchObject({ outcome: 'planned' });
  });

  it('answers what waits when it closes', async () => {
    const planner = pool();
    const answers = [planner.plan(job()), planner.plan(job())];
    await planner.close();
    const [running, waiting] = await Promise.all(answers);
    expect(running.outcome).toBe('failed');
    expect(waiting).toMatchObject({ outcome: 'refused', code: 'busy' });
  });

  it('reports a defect of its own for the log', async () => {
    const planner = pool({ kernelBytes: new Uint8Array(8) });
    expect(await planner.plan(job())).toMatchObject({ outcome: 'failed', trace: expect.stringMatching(/\w/) });
  });
});
