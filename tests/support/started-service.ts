import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';

export type StartedService = {
  readonly url: string;
  readonly process: ChildProcess;
  /** Every line it wrote, oldest first. */
  readonly lines: readonly string[];
  /** Most memory it ever held, MB; undefined where the system does not tell. */
  readonly peakMb: () => number | undefined;
  /** Asks it to stop and waits; returns its exit code. */
  readonly stop: () => Promise<number | null>;
};

const ROOT = new URL('../..', import.meta.url).pathname;

/** Starts the real service as a process of its own, on a free port. */
export async function startService(environment: Readonly<Record<string, string>> = {}): Promise<StartedService> {
  const child = spawn(process.execPath, ['--import', 'tsx', 'api/main.ts'], {
    cwd: ROOT,
    env: { ...process.env, PORT: '0', HOST: '127.0.0.1', LOOPWRIGHT_WORKERS: '1', ...environment },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const lines: string[] = [];
  const reader = createInterface({ input: child.stdout });
  reader.on('line', (line) => lines.push(line));
  await once(reader, 'line');
  const { url } = JSON.parse(lines[0]);
  return {
    url: String(url),
    process: child,
    lines,
    peakMb: () => {
      const status = `/proc/${child.pid}/status`;
      if (!existsSync(status)) return undefined;
      const peak = /VmHWM:\s+(\d+) kB/.exec(readFileSync(status, 'utf8'));
      return peak === null ? undefined : Number(peak[1]) / 1024;
    },
    stop: async () => {
      if (child.exitCode === null) {
        child.kill('SIGTERM');
        await once(child, 'exit');
      }
      return child.exitCode;
    },
  };
}
