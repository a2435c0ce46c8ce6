import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { postgresPrograms, startPostgres } from '../support/private-postgres.ts';
import { type StartedService, startService } from '../support/started-service.ts';

const ROOT = new URL('../..', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'loopwright-backup-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const started: StartedService[] = [];
async function start(environment: Readonly<Record<string, string>>): Promise<string> {
  const service = await startService(environment);
  started.push(service);
  return service.url;
}
const stopAll = () => Promise.all(started.splice(0).map((service) => service.stop()));
afterEach(stopAll);

function run(program: 'backup' | 'restore', args: readonly string[], environment: Readonly<Record<string, string>>) {
  const env = { ...process.env, ...environment };
  return spawnSync(process.execPath, ['--import', 'tsx', `api/${program}.ts`, ...args], {
    cwd: ROOT,
    env,
    encoding: 'utf8',
  });
}
async function add(url: string, id: string): Promise<void> {
  const answer = await fetch(`${url}ogc/collections/sites/items`, {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json' },
    body: JSON.stringify({ ...garden(), id }),
  });
  expect(answer.status).toBe(201);
}
async function siteIds(url: string): Promise<string[]> {
  const { features } = await (await fetch(`${url}ogc/collections/sites/items?f=json`)).json();
  return features.map(({ id }: { id: string }) => id).toSorted();
}

const programs = postgresPrograms();
let cluster: ReturnType<typeof startPostgres> | undefined;
beforeAll(() => {
  if (programs !== undefined) cluster = startPostgres(programs);
});
afterAll(() => cluster?.stop());

/** PostgreSQL only where it is installed; `.ci/run` installs it. */
const STORES = [
  { name: 'SQLite', settings: () => ({ LOOPWRIGHT_DATA: join(folder, 'data') }) },
  ...(programs === undefined
    ? []
    : [
        {
          name: 'PostgreSQL',
          settings: () => ({ DATABASE_URL: cluster?.url ?? '', PATH: `${programs}:${process.env.PATH}` }),
        },
      ]),
];

/** Starts the service three times, which a busy machine takes its time for. */
const SLOW = { timeout: 240_000 };

describe.each(STORES)('a backup of $name', SLOW, ({ name, settings }) => {
  const file = join(folder, `${name}.backup`);

  it('is made while the service runs, and brings back what was there; what came later is kept beside it', async () => {
    const url = await start(settings());
    await add(url, 'first');
    const saved = run('backup', [file], settings());
    expect(saved.stderr).toBe('');
    expect(saved.stdout).toMatch(/\d+ bytes\n$/);
    await add(url, 'second');
    await stopAll();
    const restored = run('restore', [file], settings());
    expect(restored.stderr).toBe('');
    const before = /what was there before is in (\S+)/.exec(restored.stdout)?.[1] ?? '';
    expect(await siteIds(await start(settings()))).toEqual(['first']);
    await stopAll();
    expect(run('restore', [before], settings()).stderr).toBe('');
    expect(await siteIds(await start(settings()))).toEqual(['first', 'second']);
  });

  it('writes over no file', () => {
    const again = run('backup', [file], settings());
    expect([again.status, again.stderr]).toEqual([2, `"${file}" exists already: name a new file\n`]);
  });
});

describe('a restore', SLOW, () => {
  const settings = { LOOPWRIGHT_DATA: join(folder, 'other') };

  it('takes no torn file and leaves the store as it is', async () => {
    await add(await start(settings), 'mine');
    await stopAll();
    const whole = join(folder, 'whole.backup');
    expect(run('backup', [whole], settings).status).toBe(0);
    const torn = join(folder, 'torn.backup');
    writeFileSync(torn, readFileSync(whole).subarray(0, 20_000));
    const answer = run('restore', [torn], settings);
    expect(answer.status).toBe(2);
    expect(answer.stderr).toMatch(/^"[^\n]*torn\.backup" is no store that can be used: [^\n]*\n$/);
    writeFileSync(torn, 'no database at all, but long enough to look like one'.repeat(100));
    expect(run('restore', [torn], settings).stderr).toMatch(/is no store that can be used/);
    expect(readdirSync(settings.LOOPWRIGHT_DATA).filter((found) => found.includes('before'))).toEqual([]);
    expect(await siteIds(await start(settings))).toEqual(['mine']);
  });

  it('waits for nobody: while the service runs it says so', async () => {
    await start(settings);
    const file = join(folder, 'running.backup');
    expect(run('backup', [file], settings).status).toBe(0);
    const url = started[0].url;
    await siteIds(url);
    const { status, stderr } = run('restore', [file], settings);
    expect([status, stderr]).toEqual([2, expect.stringMatching(/is in use by another process: stop it/)]);
  });

  it('says how it is called', () => {
    for (const program of ['backup', 'restore'] as const) {
      const { status, stdout } = run(program, [], settings);
      expect([status, stdout]).toEqual([2, expect.stringContaining(`npm run ${program} -- FILE`)]);
    }
    expect(existsSync(join(folder, 'nowhere'))).toBe(false);
    expect(run('backup', [join(folder, 'x.backup')], { LOOPWRIGHT_DATA: join(folder, 'nowhere') }).stderr).toMatch(
      /^there is no store in/,
    );
  });
});
