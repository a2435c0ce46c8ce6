import { randomUUID } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { serve } from '@hono/node-server';
import { createApp, type LogEvent } from './app.ts';
import { readClientFiles } from './client/read-client-files.ts';
import { workerPool } from './plan/worker-pool.ts';
import { readConfig } from './read-config.ts';
import { readKernelBytes } from './read-kernel-bytes.ts';

/** The service as a process: the only reader of environment, clock and disk. */
start();

function start(): void {
  const config = readConfig(process.env, availableParallelism());
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
  const server = serve({ fetch: app.fetch, hostname: config.host, port: config.port }, ({ port }) => {
    writeLine({ event: 'listening', url: `http://${config.host}:${port}/`, workers: config.workers });
  });
  let stopping = false;
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      writeLine({ event: 'stopping', signal });
      const hardStop = setTimeout(() => {
        writeLine({ event: 'stopped', reason: `requests still ran after ${config.stopMs} ms (LOOPWRIGHT_STOP_S)` });
        process.exit(1);
      }, config.stopMs);
      server.close(() => {
        void planner.close().then(() => {
          clearTimeout(hardStop);
          writeLine({ event: 'stopped' });
        });
      });
    });
  }
}

function writeLine(event: LogEvent): void {
  process.stdout.write(`${JSON.stringify({ time: new Date().toISOString(), ...event })}\n`);
}
