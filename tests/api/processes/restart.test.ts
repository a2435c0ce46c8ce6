import { randomUUID } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LOCAL_TENANT, openHouse } from '#api/house/house.ts';
import { workerPool } from '#api/plan/worker-pool.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import { openStore, type Store } from '#api/store/open-store.ts';

const folder = mkdtempSync(join(tmpdir(), 'loopwright-restart-'));
const config = readConfig({ LOOPWRIGHT_WORKERS: '1', LOOPWRIGHT_DATA: folder }, 1);
const planner = workerPool({ ...config, kernelBytes: readKernelBytes() });
const world = {
  planner,
  limits: config.limits,
  version: 'test',
  workers: 1,
  newId: randomUUID,
  now: () => new Date().toISOString(),
  log: () => {},
  onLost: (error: Error) => {
    throw error;
  },
};
afterAll(async () => {
  await planner.close();
  rmSync(folder, { recursive: true, force: true });
});

function add(store: Store, id: string, pause = 0) {
  const given = (value: unknown, name: string) => [{ value, pointer: `/inputs/${name}` }];
  const inputs = { stringInput: given(id, 'stringInput'), pause: given(pause, 'pause') };
  const request = JSON.stringify({ inputs, outputs: ['stringInput'], response: 'raw' });
  const job = { id, tenant: LOCAL_TENANT, processId: 'echo', subject: null, request, priority: 1, keepMs: 60_000 };
  return store.database.write(store.queue.add(job));
}

describe('jobs over a restart', () => {
  beforeAll(async () => {
    const store = await openStore(config.store, world);
    await store.tenants.ensure(LOCAL_TENANT, 'Everybody on this machine');
    await add(store, 'killed');
    // A service that was killed leaves its job running, with a lease that nobody renews.
    expect((await store.queue.take('killed service', 10_000))?.id).toBe('killed');
    await add(store, 'accepted');
    await store.close();
  });

  it('are run: those accepted, and those running when the service was killed', async () => {
    const house = await openHouse(config.store, world);
    expect(await house.runner.ended(LOCAL_TENANT, 'accepted', 5_000)).toBe(true);
    expect(await house.runner.ended(LOCAL_TENANT, 'killed', 5_000)).toBe(true);
    const { look } = house.store.queue;
    for (const [id, attempts] of [
      ['accepted', 1],
      ['killed', 2],
    ] as const) {
      expect(await look.one(LOCAL_TENANT, id)).toMatchObject({ status: 'successful', attempts });
      expect(new TextDecoder().decode(await look.result(LOCAL_TENANT, id))).toContain(`"${id}"`);
    }
    await house.close();
  });

  it('are given back by a service that stops, and run by the next one', async () => {
    const first = await openHouse(config.store, world);
    await add(first.store, 'stopped', 1);
    first.runner.wake();
    while ((await first.store.queue.look.one(LOCAL_TENANT, 'stopped'))?.status !== 'running') {
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    await first.close();
    const second = await openHouse(config.store, world);
    expect(await second.runner.ended(LOCAL_TENANT, 'stopped', 10_000)).toBe(true);
    expect(await second.store.queue.look.one(LOCAL_TENANT, 'stopped')).toMatchObject({ status: 'successful' });
    await second.close();
  });
});
