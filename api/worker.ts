import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { openHouse } from './house/house.ts';
import { workerPool } from './plan/worker-pool.ts';
import { readConfig } from './read-config.ts';
import { readKernelBytes } from './read-kernel-bytes.ts';

/** Jobs without a service. As many of these as are started, on as many machines, share the work of one PostgreSQL, and each may end at any time. */
const HELP =
  'npm run worker does the jobs of services that share a PostgreSQL: set DATABASE_URL. With a file of its own the service works itself.\n';

const write = (event: object) =>
  process.stdout.write(`${JSON.stringify({ time: new Date().toISOString(), ...event })}\n`);

try {
  await work();
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = 2;
}

async function work(): Promise<void> {
  const config = readConfig(process.env, availableParallelism());
  if (config.store.databaseUrl === undefined) throw new Error(HELP.trim());
  const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
  const planner = workerPool({ ...config, kernelBytes: readKernelBytes() });
  const house = await openHouse(config.store, {
    planner,
    limits: config.limits,
    version: String(version),
    workers: config.workers,
    now: () => new Date().toISOString(),
    newId: randomUUID,
    log: write,
  });
  write({ event: 'working', workers: config.workers });
  // The timers of the runner keep no process alive.
  const alive = setInterval(() => undefined, 60_000);
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.once(signal, () => {
      write({ event: 'stopping', signal });
      clearInterval(alive);
      void house.close().then(() => planner.close());
    });
  }
}
