import { afterAll, beforeAll } from 'vitest';
import { createApp, type Deps, type LogEvent } from '#api/app.ts';
import type { ClientFiles } from '#api/client/client.module.ts';
import { createMeter } from '#api/operations/meter.ts';
import { type PoolSettings, workerPool } from '#api/plan/worker-pool.ts';
import { type Limits, readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';

type Wanted = {
  readonly limits?: Partial<Limits>;
  readonly pool?: Partial<PoolSettings>;
  readonly client?: ClientFiles;
};

type Service = {
  /** The answer to a request, without a socket. */
  readonly request: (path: string, init?: RequestInit) => Promise<Response>;
  /** Posts a site (an object, or bytes as they are) to /plan. */
  readonly plan: (site: unknown, query?: string, headers?: Record<string, string>) => Promise<Response>;
  readonly deps: Deps;
  readonly events: readonly LogEvent[];
};

/** The whole service with one worker, started before the tests of a file and closed after them. */
export function useService({ limits, pool, client = new Map() }: Wanted = {}): () => Service {
  let service: Service | undefined;
  beforeAll(() => {
    const config = readConfig({ LOOPWRIGHT_WORKERS: '1' }, 1);
    const events: LogEvent[] = [];
    const planner = workerPool({ ...config, kernelBytes: readKernelBytes(), ...pool });
    const meter = createMeter(planner);
    const deps: Deps = {
      planner,
      meter,
      limits: { ...config.limits, ...limits },
      settings: config.settings,
      house: () => Promise.reject(new Error('these tests keep nothing')),
      client,
      version: '0.0.0-test',
      nowMs: () => performance.now(),
      newRequestId: () => 'made-up-id',
      log: (event) => {
        meter.hear(event);
        events.push(event);
      },
    };
    const app = createApp(deps);
    const request = async (path: string, init?: RequestInit) => app.request(path, init);
    service = {
      request,
      deps,
      events,
      plan: (site, query = '', headers = {}) =>
        request(`/plan${query}`, {
          method: 'POST',
          headers: { 'content-type': 'application/geo+json', ...headers },
          body: site instanceof Uint8Array ? Uint8Array.from(site) : JSON.stringify(site),
        }),
    };
  });
  afterAll(() => service?.deps.planner.close());
  return () => {
    if (service === undefined) throw new Error('the service starts before the tests of a file');
    return service;
  };
}
