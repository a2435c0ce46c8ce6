import { afterAll, beforeAll } from 'vitest';
import { createApp } from '#api/app.ts';
import { createMeter } from '#api/operations/meter.ts';
import { type Planner, workerPool } from '#api/plan/worker-pool.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';

/** The service without a socket, with a real worker; settings as from an environment. */
export function useService(environment: Readonly<Record<string, string>> = {}) {
  let planner: Planner | undefined;
  let app: ReturnType<typeof createApp> | undefined;
  let requests = 0;
  beforeAll(() => {
    const config = readConfig({ LOOPWRIGHT_WORKERS: '1', ...environment }, 1);
    planner = workerPool({ ...config, kernelBytes: readKernelBytes() });
    app = createApp({
      planner,
      limits: config.limits,
      settings: config.settings,
      house: () => Promise.reject(new Error('these tests keep nothing')),
      client: new Map(),
      meter: createMeter(planner),
      version: 'test',
      nowMs: () => performance.now(),
      newRequestId: () => `test-${++requests}`,
      log: () => undefined,
    });
  });
  afterAll(() => planner?.close());
  return async (path: string, init?: RequestInit): Promise<Response> => {
    if (app === undefined) throw new Error('the service starts before the tests of a file, not at its top');
    return app.request(path, init);
  };
}
