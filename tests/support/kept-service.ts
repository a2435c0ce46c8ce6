import { randomUUID } from 'node:crypto';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll } from 'vitest';
import { createApp, type LogEvent } from '#api/app.ts';
import { type House, lazyHouse, openHouse } from '#api/house/house.ts';
import { apiDocument } from '#api/ogc/api-document.ts';
import { createMeter } from '#api/operations/meter.ts';
import { workerPool } from '#api/plan/worker-pool.ts';
import { readConfig } from '#api/read-config.ts';
import { readKernelBytes } from '#api/read-kernel-bytes.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { apiTruth } from './api-truth.ts';

export type KeptService = {
  readonly request: (path: string, init?: RequestInit) => Promise<Response>;
  /** Parsed JSON of a GET, which must be answered with 200. */
  readonly json: (path: string) => Promise<Record<string, never>>;
  readonly send: (method: string, path: string, body?: unknown, headers?: Record<string, string>) => Promise<Response>;
  /** Waits until nothing is left to be planned. */
  readonly settled: () => Promise<void>;
  /** Keeps a site, waits for its plan and returns its id. */
  readonly addSite: (site: SiteInput) => Promise<string>;
  /** How many pegs a plan has, by the plan as one document: that knows nothing of lists, filters and pages. */
  readonly pegCount: (siteId: string) => Promise<number>;
  readonly house: () => Promise<House>;
  readonly events: readonly LogEvent[];
};

export const BASE = 'http://loopwright.test';

/**
 * The service with a store in a folder of its own, without a socket; settings as from an environment. Every answer it gives is held
 * against its own API document.
 */
export function useKeptService(environment: Readonly<Record<string, string>> = {}): () => KeptService {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-house-'));
  const events: LogEvent[] = [];
  let service: KeptService | undefined;
  let close = async () => {};
  beforeAll(() => {
    const config = readConfig({ LOOPWRIGHT_WORKERS: '1', LOOPWRIGHT_DATA: folder, ...environment }, 1);
    const planner = workerPool({ ...config, kernelBytes: readKernelBytes() });
    const meter = createMeter(planner);
    const log = (event: LogEvent) => {
      meter.hear(event);
      events.push(event);
    };
    const { limits, settings } = config;
    const world = { planner, limits, settings, version: 'test', workers: 1, newId: randomUUID, log };
    const house = lazyHouse(() => openHouse(config.store, { ...world, now: () => new Date().toISOString() }));
    const app = createApp({
      ...world,
      house: house.get,
      client: new Map(),
      nowMs: () => performance.now(),
      newRequestId: randomUUID,
      meter,
    });
    const truth = apiTruth(apiDocument(`${BASE}/ogc`, 'test', settings.auth === 'keys'));
    const request = async (path: string, init?: RequestInit) => {
      const url = path.startsWith('http') ? path : `${BASE}${path}`;
      const answer = await app.request(url, init);
      await truth(init?.method ?? 'GET', url, answer.clone());
      return answer;
    };
    const settled = async () => {
      const { store } = await house.get();
      while ((await store.queue.look.open()) > 0) await new Promise((resolve) => setTimeout(resolve, 20));
    };
    const send: KeptService['send'] = (method, path, body, headers = {}) =>
      request(path, {
        method,
        headers: { 'content-type': 'application/geo+json', ...headers },
        ...(body !== undefined && { body: typeof body === 'string' ? body : JSON.stringify(body) }),
      });
    service = {
      request,
      send,
      events,
      house: house.get,
      async json(path) {
        const answer = await request(path);
        if (answer.status !== 200) throw new Error(`${path} answered ${answer.status}: ${await answer.text()}`);
        return answer.json();
      },
      async addSite(site) {
        const answer = await send('POST', '/ogc/collections/sites/items', site);
        if (answer.status !== 201) throw new Error(`no site: ${answer.status} ${await answer.text()}`);
        await settled();
        return (await answer.json()).id;
      },
      async pegCount(siteId) {
        const plan: Plan = await (await request(`/ogc/sites/${siteId}/plan`)).json();
        return plan.features.filter(({ properties }) => properties.kind === 'peg').length;
      },
      settled,
    };
    close = async () => {
      await house.close();
      await planner.close();
    };
  });
  afterAll(async () => {
    await close();
    rmSync(folder, { recursive: true, force: true });
  });
  return () => {
    if (service === undefined) throw new Error('the service starts before the tests of a file');
    return service;
  };
}
