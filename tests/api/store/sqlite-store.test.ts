import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openStore, type Store } from '#api/store/open-store.ts';
import { queueSuite } from '../../suites/queue-suite.ts';
import { storeSuite } from '../../suites/store-suite.ts';

const ROOT = new URL('../../..', import.meta.url).pathname;
const clock = { now: '2027-03-01T08:00:00.000Z' };
let ids = 0;
const world = {
  now: () => clock.now,
  newId: () => `id-${++ids}`,
  onLost: (error: Error) => {
    throw error;
  },
};
let folder = '';
let store: Store | undefined;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'loopwright-store-'));
  store = await openStore({ dataFolder: folder }, world);
});
afterAll(async () => {
  await store?.close();
  rmSync(folder, { recursive: true, force: true });
});
const theStore = (): Store => {
  if (store === undefined) throw new Error('the store opens before the tests of a file');
  return store;
};

describe('the store in SQLite', () => {
  storeSuite(theStore, clock);
  queueSuite(theStore, clock);

  it('refuses a second process on the same folder in one sentence', () => {
    const script = `import { openStore } from './api/store/open-store.ts';
      openStore({ dataFolder: process.argv[1] }, { now: () => '', newId: () => '', onLost: () => {} }).catch((error) => {
        process.stderr.write(error.message); process.exit(3); });`;
    const { status, stderr } = spawnSync(
      process.execPath,
      ['--import', 'tsx', '--input-type=module', '-e', script, folder],
      { cwd: ROOT, encoding: 'utf8' },
    );
    expect([status, stderr]).toEqual([3, expect.stringContaining('is in use by another process')]);
  });

  it('loses nothing it has acknowledged when its process is killed', async () => {
    const own = mkdtempSync(join(tmpdir(), 'loopwright-killed-'));
    const script = `import { openStore } from './api/store/open-store.ts';
      const store = await openStore({ dataFolder: process.argv[1] }, { now: () => new Date().toISOString(), newId: () => '', onLost: () => {} });
      await store.tenants.ensure('t', 't');
      for (let i = 0; ; i++) {
        const feature = { collection: 'site-points', id: 's' + i + '.0', siteId: 's' + i, origin: 'site', ordinal: 0,
          geometry: { type: 'Point', coordinates: [i / 1000, 0] }, properties: {} };
        await store.sites.save('t', { id: 's' + i, name: null, members: {}, nextOrdinal: 1, features: [feature] }, undefined, []);
        console.log('s' + i);
      }`;
    const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script, own], { cwd: ROOT });
    const acknowledged: string[] = [];
    const lines = createInterface({ input: child.stdout });
    lines.on('line', (line) => {
      acknowledged.push(line);
      if (acknowledged.length === 40) child.kill('SIGKILL');
    });
    await once(child, 'exit');
    const again = await openStore({ dataFolder: own }, world);
    expect(acknowledged.length).toBeGreaterThanOrEqual(40);
    for (const id of acknowledged) {
      expect((await again.sites.one('t', id))?.version).toBe(1);
      expect(await again.features.one('t', 'site-points', `${id}.0`)).toBeDefined();
    }
    await again.database.check();
    await again.close();
    rmSync(own, { recursive: true, force: true });
  });
});

describe('the SQLite file', () => {
  it('opens in GDAL as a GeoPackage with a layer for every collection', ({ skip }) => {
    if (spawnSync('ogrinfo', ['--version']).error !== undefined) skip('GDAL is not installed');
    const run = (...args: string[]) => spawnSync('ogrinfo', ['-ro', ...args], { encoding: 'utf8' }).stdout;
    const file = join(folder, 'loopwright.gpkg');
    expect(run('-so', '-q', file)).toMatch(/site-areas/);
    const layer = run('-so', file, 'site-areas');
    const rows = Number(/Feature Count: (\d+)/.exec(layer)?.[1]);
    expect(rows).toBeGreaterThan(100);
    expect(layer).toContain('ID["EPSG",4326]');
    expect(layer).toMatch(/kind: String/);
    expect(run('-q', file, 'site-areas', '-where', "id = 'b.22' and tenant_id is not null")).toContain(
      'POLYGON ((0.2 0.2,0.21 0.2,0.21 0.21,0.2 0.21,0.2 0.2))',
    );
  });
});
