import { randomUUID } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type ServerType, serve } from '@hono/node-server';
import { createApp, type LogEvent } from './app.ts';
import { readClientFiles } from './client/read-client-files.ts';
import { lazyHouse, openHouse } from './house/house.ts';
import { createMeter } from './operations/meter.ts';
import { type Planner, workerPool } from './plan/worker-pool.ts';
import { type Config, readConfig } from './read-config.ts';
import { readKernelBytes } from './read-kernel-bytes.ts';
import { STORE_FILE } from './store/open-store.ts';

const WRONG_CALL = 2;

/** The service as a process: the only reader of environment, clock and disk. */
try {
  start(readConfig(process.env, availableParallelism()));
} catch (error) {
  giveUp(error);
}

function start(config: Config): void {
  const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
  const planner = workerPool({ ...config, kernelBytes: readKernelBytes() });
  const meter = createMeter(planner);
  const log = (event: LogEvent): void => {
    meter.hear(event);
    writeLine(event);
  };
  const house = lazyHouse(() =>
    openHouse(config.store, {
      planner,
      limits: config.limits,
      version: String(version),
      workers: config.workers,
      now: () => new Date().toISOString(),
      newId: randomUUID,
      log,
    }),
  );
  if (config.store.databaseUrl !== undefined || existsSync(join(config.store.dataFolder, STORE_FILE))) {
    // What was queued when the service last stopped goes on; where that fails, the first request that needs it says so.
    house.get().catch((error: unknown) => log({ event: 'store-unavailable', detail: String(error) }));
  }
  const app = createApp({
    planner,
    limits: config.limits,
    settings: config.settings,
    house: house.get,
    client: readClientFiles(fileURLToPath(new URL('../map-client/dist', import.meta.url))),
    version: String(version),
    nowMs: () => performance.now(),
    newRequestId: randomUUID,
    meter,
    log,
  });
  const host = config.host.includes(':') ? `[${config.host}]` : config.host;
  // A stream of sites may take hours to come; other bodies are timed where they are read.
  const serverOptions = { requestTimeout: 0 };
  const server = serve({ fetch: app.fetch, hostname: config.host, port: config.port, serverOptions }, ({ port }) => {
    writeLine({ event: 'listening', url: `http://${host}:${port}/`, workers: config.workers });
  });
  server.on('error', giveUp);
  let isStopping = false;
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.on(signal, () => {
      if (isStopping) return;
      isStopping = true;
      writeLine({ event: 'stopping', signal });
      stop(server, [house, planner], config.stopMs);
    });
  }
}

/** Takes no new connections, lets running requests finish, then ends; whatever still runs after `stopMs` is cut off. */
function stop(server: ServerType, parts: readonly Pick<Planner, 'close'>[], stopMs: number): void {
  const hardStop = setTimeout(() => {
    writeLine({ event: 'stopped', reason: `requests still ran after ${stopMs / 1000} s (LOOPWRIGHT_STOP_S)` });
    process.exit(1);
  }, stopMs);
  server.close(() => {
    void Promise.all(parts.map((part) => part.close())).then(() => {
      clearTimeout(hardStop);
      writeLine({ event: 'stopped' });
    });
  });
}

/** A wrong setting, or an address that cannot be listened at: one line, no stack. */
function giveUp(error: unknown): void {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exit(WRONG_CALL);
}

function writeLine(event: LogEvent): void {
  process.stdout.write(`${JSON.stringify({ time: new Date().toISOString(), ...event })}\n`);
}
