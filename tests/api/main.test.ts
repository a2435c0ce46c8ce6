import { spawnSync } from 'node:child_process';
import { afterEach, describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { drawSite, rectangle } from '../support/plane-site.ts';
import { type StartedService, startService } from '../support/started-service.ts';

const root = new URL('../..', import.meta.url).pathname;
const started: StartedService[] = [];
async function start(environment: Readonly<Record<string, string>> = {}): Promise<StartedService> {
  const service = await startService(environment);
  started.push(service);
  return service;
}
afterEach(async () => {
  await Promise.all(started.splice(0).map((service) => service.stop()));
});

const draw = drawSite();
/** Enough trees to be planned for a while. */
const orchard = () =>
  garden(
    ...Array.from({ length: 60 }, (_, i) =>
      draw.point('tree', (i % 12) * 3 + 30, Math.floor(i / 12) * 3, { radius: 0.3 }),
    ),
    draw.area('lawn', [rectangle(28, -2, 40, 20)]),
  );
const post = (url: string, site: unknown) =>
  fetch(`${url}plan`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(site),
  });

async function untilBusy(url: string): Promise<void> {
  for (;;) {
    const { workers } = await (await fetch(`${url}health`)).json();
    if (workers.busy === 1) return;
  }
}

describe('the service as a process', () => {
  it('finishes what runs when asked to stop, takes nothing new, and ends well', async () => {
    const service = await start();
    const running = post(service.url, orchard());
    await untilBusy(service.url);
    service.process.kill('SIGTERM');
    const answer = await running;
    expect(answer.status).toBe(200);
    expect((await answer.json()).audit.passed).toBe(true);
    expect(await service.stop()).toBe(0);
    await expect(fetch(`${service.url}health`)).rejects.toThrow('fetch failed');
    const events = service.lines.map((line) => JSON.parse(line).event);
    expect([events[0], events.at(-1)]).toEqual(['listening', 'stopped']);
    expect(events).toContain('stopping');
  });

  it('cuts off what does not finish in time', async () => {
    const service = await start({ LOOPWRIGHT_STOP_S: '0' });
    const running = post(service.url, orchard());
    const outcome = running.then(
      () => 'answered',
      () => 'cut off',
    );
    await untilBusy(service.url);
    expect(await service.stop()).toBe(1);
    expect(await outcome).toBe('cut off');
    expect(service.lines.at(-1)).toContain('LOOPWRIGHT_STOP_S');
  });

  it.each([
    [{ PORT: 'eighty' }, /^PORT="eighty" is not a whole number from 0 to 65535\n$/],
    [{ LOOPWRIGHT_WORKERS: '-1' }, /^LOOPWRIGHT_WORKERS="-1" is not a whole number/],
    [{ HOST: 'no.such.host.invalid', PORT: '0' }, /^[^\n]*no\.such\.host\.invalid\n$/],
  ])('says in one line that it cannot start with %j', (environment, said) => {
    const { status, stderr } = spawnSync(process.execPath, ['--import', 'tsx', 'api/main.ts'], {
      cwd: root,
      env: { ...process.env, ...environment },
      encoding: 'utf8',
    });
    expect(status).toBe(2);
    expect(stderr).toMatch(said);
  });

  it('says in one line that its port is taken', async () => {
    const { url } = await start();
    const { status, stderr } = spawnSync(process.execPath, ['--import', 'tsx', 'api/main.ts'], {
      cwd: root,
      env: { ...process.env, HOST: '127.0.0.1', PORT: new URL(url).port },
      encoding: 'utf8',
    });
    expect(status).toBe(2);
    expect(stderr).toMatch(/^[^\n]*EADDRINUSE[^\n]*\n$/);
  });
});
