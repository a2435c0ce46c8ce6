import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import { request } from 'node:http';
import { availableParallelism } from 'node:os';
import { createInterface } from 'node:readline';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { typicalParcel } from './bench-gardens.ts';
import { quantile, seededRandom, table } from './statistics.ts';

/**
 * Many sites through the service as a process of its own: what it costs beside calling `planSite` in a loop, what a second worker brings, and that its
 * memory does not grow with their number.
 */

const SITES = 600;
const WARM_UP = 200;
const ROUNDS = 2;
const TARGET_OVERHEAD = 1.25;
const MEMORY_SITES = [1_000, 10_000];
/** Clock ticks a second of /proc (USER_HZ, fixed on Linux). */
const TICKS_PER_S = 100;

type Service = { readonly url: string; readonly pid: number; readonly stop: () => Promise<void> };

export async function benchPortfolio(seed: number): Promise<string> {
  const random = seededRandom(seed);
  const sites = Array.from({ length: SITES }, () => typicalParcel(random));
  const lines = sites.map((site) => `${JSON.stringify(site)}\n`);
  const cores = availableParallelism();
  const loop = bestOf(() => loopCpuS(sites));
  const rows = [['', 'sites/s', 'CPU ms a site', 'CPU : loop']];
  rows.push(['planSite in a loop', perSecond(loop.wallS), milliseconds(loop.cpuS), '1.00']);
  let alone: number | undefined;
  for (const workers of [1, 2].filter((count) => count <= cores)) {
    const service = await startService(workers);
    await send(service, lines.slice(0, WARM_UP));
    const runs: { readonly wallS: number; readonly cpuS: number }[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      const before = cpuSOf(service.pid);
      runs.push({ wallS: await send(service, lines), cpuS: cpuSOf(service.pid) - before });
    }
    await service.stop();
    const best = {
      wallS: quantile(
        runs.map(({ wallS }) => wallS),
        0,
      ),
      cpuS: quantile(
        runs.map(({ cpuS }) => cpuS),
        0,
      ),
    };
    rows.push([
      `POST /plan, ${workers} worker${workers > 1 ? 's' : ''}`,
      perSecond(best.wallS),
      milliseconds(best.cpuS),
      (best.cpuS / loop.cpuS).toFixed(2),
    ]);
    alone ??= best.wallS;
    if (workers > 1) rows.push([`  ${workers} workers : 1`, `${(alone / best.wallS).toFixed(2)} x`, '', '']);
  }
  return [
    `Portfolio: typical parcels (12 vertices, 2 buildings, 3 trees), plans of every kind, best of ${ROUNDS} rounds of ${SITES}, CPU of all threads (target ${TARGET_OVERHEAD})`,
    table(rows),
  ].join('\n\n');
}

/** Memory of the whole service, all threads, while one stream goes through it. */
export async function benchPortfolioMemory(seed: number): Promise<string> {
  const random = seededRandom(seed);
  const lines = Array.from({ length: SITES }, () => `${JSON.stringify(typicalParcel(random))}\n`);
  const memory = [['sites in one stream', 'peak MB', ': first']];
  let first: number | undefined;
  for (const count of MEMORY_SITES) {
    const service = await startService(1);
    await send(service, repeated(lines, count));
    const peakMb = peakMbOf(service.pid);
    await service.stop();
    first ??= peakMb;
    memory.push([String(count), peakMb.toFixed(0), (peakMb / first).toFixed(2)]);
  }
  return ['Portfolio: memory of the service', table(memory)].join('\n\n');
}

function* repeated(lines: readonly string[], count: number): Generator<string> {
  for (let i = 0; i < count; i++) yield lines[i % lines.length];
}

function bestOf(work: () => { readonly wallS: number; readonly cpuS: number }) {
  work();
  const runs = Array.from({ length: ROUNDS }, work);
  return {
    wallS: quantile(
      runs.map(({ wallS }) => wallS),
      0,
    ),
    cpuS: quantile(
      runs.map(({ cpuS }) => cpuS),
      0,
    ),
  };
}

/** From a parsed site to a plan in memory: nothing is read or written. */
function loopCpuS(sites: readonly SiteInput[]) {
  const [startMs, before] = [performance.now(), process.cpuUsage()];
  for (const site of sites) planSite(site, RULE_SETS[0]);
  const { user, system } = process.cpuUsage(before);
  return { wallS: (performance.now() - startMs) / 1000, cpuS: (user + system) / 1e6 };
}

async function startService(workers: number): Promise<Service> {
  const child = spawn(process.execPath, ['--import', 'tsx', 'api/main.ts'], {
    cwd: new URL('../..', import.meta.url).pathname,
    env: { ...process.env, PORT: '0', HOST: '127.0.0.1', LOOPWRIGHT_WORKERS: String(workers) },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const reader = createInterface({ input: child.stdout });
  const [line]: string[] = await once(reader, 'line');
  reader.on('line', () => undefined);
  const { url } = JSON.parse(line);
  return {
    url: String(url),
    pid: child.pid ?? 0,
    async stop() {
      child.kill('SIGTERM');
      await once(child, 'exit');
    },
  };
}

/** Sends sites as fast as they are taken and passes their answers over; returns the seconds from the first byte to the last. */
async function send({ url }: Service, lines: Iterable<string>): Promise<number> {
  const startMs = performance.now();
  const sender = request(`${url}plan`, { method: 'POST', headers: { 'content-type': 'application/x-ndjson' } });
  const ended = once(sender, 'response').then(async ([answer]) => {
    answer.resume();
    await once(answer, 'end');
  });
  for (const line of lines) if (!sender.write(line)) await once(sender, 'drain');
  sender.end();
  await ended;
  return (performance.now() - startMs) / 1000;
}

/** User and system time of all threads so far (proc(5), /proc/pid/stat, fields 14 and 15). */
function cpuSOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8')
    .replace(/^.*\) /, '')
    .split(' ');
  return (Number(fields[11]) + Number(fields[12])) / TICKS_PER_S;
}

function peakMbOf(pid: number): number {
  const path = `/proc/${pid}/status`;
  const peak = existsSync(path) ? /VmHWM:\s+(\d+) kB/.exec(readFileSync(path, 'utf8')) : null;
  return peak === null ? Number.NaN : Number(peak[1]) / 1024;
}

const perSecond = (seconds: number): string => (SITES / seconds).toFixed(0);
const milliseconds = (seconds: number): string => ((1000 * seconds) / SITES).toFixed(2);
