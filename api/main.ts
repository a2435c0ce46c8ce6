import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { type ServerType, serve } from '@hono/node-server';
import { createApp, type LogEvent } from './app.ts';
import { readClientFiles } from './client/read-client-files.ts';
import { type Planner, workerPool } from './plan/worker-pool.ts';
import { type Config, readConfig } from './read-config.ts';
import { readKernelBytes } from './read-kernel-bytes.ts';

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
  const app = createApp({
    planner,
    limits: config.limits,
    client: readClientFiles(fileURLToPath(new URL('../map-client/dist', import.meta.url))),
    version: String(version),
    nowMs: () => performance.now(),
    newRequestId: randomUUID,
    log: writeLine,
  });
  const host = config.host.includes(':') ? `[${config.host}]` : config.host;
  const server = serve({ fetch: app.fetch, hostname: config.host, port: config.port }, ({ port }) => {
    writeLine({ event: 'listening', url: `http://${host}:${port}/`, workers: config.workers });
  });
  server.on('error', giveUp);
  let isStopping = false;
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.on(signal, () => {
      if (isStopping) return;
      isStopping = true;
      writeLine({ event: 'stopping', signal });
      stop(server, planner, config.stopMs);
    });
  }
}

/** Takes no new connections, lets running requests finish, then ends; whatever still runs after `stopMs` is cut off. */
function stop(server: ServerType, planner: Planner, stopMs: number): void {
  const hardStop = setTimeout(() => {
    writeLine({ event: 'stopped', reason: `requests still ran after ${stopMs / 1000} s (LOOPWRIGHT_STOP_S)` });
    process.exit(1);
  }, stopMs);
  server.close(() => {
    void planner.close().then(() => {
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
