import type { LogEvent } from '#api/app.ts';
import type { Planner } from '#api/plan/worker-pool.ts';
import { CHUNK_PROCESS, planChunk } from '#api/portfolio/plan-chunk.ts';
import { runPortfolio } from '#api/portfolio/run-portfolio.ts';
import { PLAN_PORTFOLIO_PROCESS } from '#api/processes/plan-portfolio-process.ts';
import { PROCESSES } from '#api/processes/processes.ts';
import { runProcess } from '#api/processes/run-process.ts';
import type { Limits } from '#api/read-config.ts';
import { replanSite } from '#api/sites/replan-site.ts';
import { openStore, type Store, type StoreSettings } from '#api/store/open-store.ts';
import { type Handler, type Runner, startRunner } from './runner.ts';

/** The store and what works on it. */
export type House = {
  readonly store: Store;
  readonly runner: Runner;
  readonly now: () => string;
  readonly newId: () => string;
  readonly close: () => Promise<void>;
};

export type HouseWorld = {
  readonly planner: Planner;
  readonly limits: Limits;
  readonly version: string;
  readonly workers: number;
  readonly now: () => string;
  readonly newId: () => string;
  readonly log: (event: LogEvent) => void;
};

/** Whom everything belongs to where nobody is asked for a key. */
export const LOCAL_TENANT = 'local';

/** Opens the store and starts working on what is queued. */
export async function openHouse(settings: StoreSettings, world: HouseWorld): Promise<House> {
  const { now, newId, log } = world;
  const onLost = (error: Error) => log({ event: 'store-lost', trace: error.stack ?? error.message });
  const store = await openStore(settings, { now, newId, onLost });
  await store.tenants.ensure(LOCAL_TENANT, 'Everybody on this machine');
  // The folder of a SQLite store is ours alone.
  if (store.database.dialect === 'sqlite') await store.queue.takeBack();
  const handlers = new Map<string, Handler>([
    ['replan-site', (job, work) => replanSite(job, work, store, world)],
    ...PROCESSES.map((process) => [process.id, runProcess(process, store, world)] as const),
    [PLAN_PORTFOLIO_PROCESS.id, (job, work) => runPortfolio(job, work, store)],
    [CHUNK_PROCESS, (job, work) => planChunk(job, work, store, world)],
  ]);
  const runner = startRunner({ queue: store.queue, handlers, seats: world.workers, owner: newId(), log });
  return {
    store,
    runner,
    now,
    newId,
    async close() {
      await runner.close();
      await store.close();
    },
  };
}

/** Opens at the first use, once; a failure is told to everyone who waits and tried again at the next use. */
export function lazyHouse(open: () => Promise<House>): {
  readonly get: () => Promise<House>;
  readonly close: () => Promise<void>;
} {
  let opening: Promise<House> | undefined;
  return {
    get() {
      opening ??= open().catch((error: unknown) => {
        opening = undefined;
        throw error;
      });
      return opening;
    },
    async close() {
      if (opening !== undefined) await (await opening).close();
    },
  };
}
