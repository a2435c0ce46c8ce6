/* Long because it is the contract that every store is held to. */
import { beforeEach, describe, expect, it } from 'vitest';
import type { NewFeature } from '#api/store/features.ts';
import type { Geometry } from '#api/store/geometry.ts';
import type { Store } from '#api/store/open-store.ts';
import { queuedPlan } from '#api/store/plans.ts';
import type { SiteContent } from '#api/store/sites.ts';
import { isValid } from '#api/store/tenants.ts';
import type { Plan } from '#geo-core/model/plan.ts';

const square = (west: number, south: number, side = 0.001): Geometry => ({
  type: 'Polygon',
  coordinates: [
    [
      [west, south],
      [west + side, south],
      [west + side, south + side],
      [west, south + side],
      [west, south],
    ],
  ],
});

function lawn(siteId: string, ordinal: number, geometry: Geometry, collection = 'site-areas'): NewFeature {
  const properties = { kind: 'lawn', name: `Wiese Nº ${ordinal} "ö"` };
  return { collection, id: `${siteId}.${ordinal}`, siteId, origin: 'site', ordinal, geometry, properties };
}

function site(id: string, features: readonly NewFeature[] = [lawn(id, 0, square(10, 50))]): SiteContent {
  return { id, name: `Site ${id}`, members: { rules: 'default' }, nextOrdinal: features.length, features };
}

/** What every store must do, whatever keeps it. `clock.now` is the time it believes in. */
export function storeSuite(theStore: () => Store, clock: { now: string }): void {
  let count = 0;
  let tenant = '';
  const store = () => theStore();
  const save = (content: SiteContent) => store().sites.save(tenant, content, undefined, []);
  beforeEach(async () => {
    count += 1;
    tenant = `tenant-${count}`;
    await store().tenants.ensure(tenant, 'A firm');
  });
  const query = (collection = 'site-areas') => ({ tenant, collection });

  describe('sites', () => {
    it('come back as they were given, with what is known of them', async () => {
      expect(await save(site('a'))).toBe(true);
      const record = await store().sites.one(tenant, 'a');
      expect(record).toMatchObject({ id: 'a', name: 'Site a', members: { rules: 'default' }, version: 1 });
      expect(record).toMatchObject({ planState: 'queued', planVersion: null, created: clock.now });
      const features = await store().features.ofSite(tenant, 'a', 'site');
      expect(features.map(({ id }) => id).toSorted()).toEqual(['a', 'a.0']);
      expect(features.find(({ id }) => id === 'a.0')).toMatchObject({
        geometry: square(10, 50),
        properties: { kind: 'lawn', name: 'Wiese Nº 0 "ö"' },
        box: [10, 50, 10.001, 50.001],
      });
    });

    it('cannot be made twice under one id', async () => {
      expect(await save(site('a'))).toBe(true);
      expect(await save({ ...site('a'), name: 'Another' })).toBe(false);
      expect((await store().sites.one(tenant, 'a'))?.name).toBe('Site a');
    });

    it('lose no write: of two that start from one version, one is refused and leaves no trace', async () => {
      await save(site('a'));
      const record = await store().sites.one(tenant, 'a');
      if (record === undefined) throw new Error('the site is gone');
      const before = { record, features: await store().features.ofSite(tenant, 'a', 'site') };
      const moved = site('a', [lawn('a', 0, square(11, 50)), lawn('a', 1, square(12, 50))]);
      const grown = site('a', [lawn('a', 0, square(10, 50)), lawn('a', 9, square(13, 50))]);
      const outcomes = [
        await store().sites.save(tenant, moved, before, []),
        await store().sites.save(tenant, grown, before, []),
      ];
      expect(outcomes).toEqual([true, false]);
      expect((await store().features.page(query(), 10)).map(({ id }) => id)).toEqual(['a.0', 'a.1']);
      expect((await store().sites.one(tenant, 'a'))?.version).toBe(2);
    });

    it('write only features that differ', async () => {
      await save(site('a', [lawn('a', 0, square(10, 50)), lawn('a', 1, square(11, 50))]));
      const record = await store().sites.one(tenant, 'a');
      if (record === undefined) throw new Error('the site is gone');
      const before = { record, features: await store().features.ofSite(tenant, 'a', 'site') };
      const first = clock.now;
      clock.now = '2030-01-01T00:00:00.000Z';
      await store().sites.save(
        tenant,
        site('a', [lawn('a', 0, square(10, 50)), lawn('a', 1, square(12, 50))]),
        before,
        [],
      );
      const times = (await store().features.page(query(), 10)).map(({ updated }) => updated);
      expect(times).toEqual([first, clock.now]);
      clock.now = first;
    });

    it('go with everything that belongs to them', async () => {
      await save(site('a'));
      await save(site('b'));
      await store().tenants.addShare(tenant, 'a', null);
      expect(await store().sites.remove(tenant, { id: 'a', version: 7 })).toBe(false);
      expect(await store().sites.remove(tenant, { id: 'a', version: 1 })).toBe(true);
      expect((await store().features.page(query(), 10)).map(({ id }) => id)).toEqual(['b.0']);
      expect(await store().tenants.shares(tenant, 'a')).toEqual([]);
      expect(await store().sites.count(tenant)).toBe(1);
    });

    it('are seen by their own tenant only', async () => {
      await save(site('a'));
      await store().tenants.ensure('stranger', 'Another firm');
      expect(await store().sites.one('stranger', 'a')).toBeUndefined();
      expect(await store().features.page({ tenant: 'stranger', collection: 'site-areas' }, 10)).toEqual([]);
      expect(await store().features.one('stranger', 'site-areas', 'a.0')).toBeUndefined();
      expect(await store().sites.remove('stranger', { id: 'a', version: 1 })).toBe(false);
    });

    it('count up what a tenant has written', async () => {
      const before = await store().tenants.revision(tenant);
      await save(site('a'));
      expect(await store().tenants.revision(tenant)).toBe(before + 1);
    });
  });

  describe('features', () => {
    const geometries: Geometry[] = [
      { type: 'Point', coordinates: [10.123456789, -50.987654321] },
      {
        type: 'MultiPoint',
        coordinates: [
          [1, 2],
          [3, 4],
        ],
      },
      {
        type: 'LineString',
        coordinates: [
          [1, 2],
          [3, 4],
          [5, 6],
        ],
      },
      {
        type: 'MultiLineString',
        coordinates: [
          [
            [1, 2],
            [3, 4],
          ],
          [
            [5, 6],
            [7, 8],
          ],
        ],
      },
      {
        type: 'Polygon',
        coordinates: [
          [
            [0, 0],
            [9, 0],
            [9, 9],
            [0, 0],
          ],
          [
            [2, 1],
            [3, 1],
            [3, 2],
            [2, 1],
          ],
        ],
      },
      {
        type: 'MultiPolygon',
        coordinates: [
          [
            [
              [0, 0],
              [1, 0],
              [1, 1],
              [0, 0],
            ],
          ],
          [
            [
              [5, 5],
              [6, 5],
              [6, 6],
              [5, 5],
            ],
          ],
        ],
      },
    ];

    it.each(geometries.map((geometry) => [geometry.type, geometry] as const))(
      'keep a %s to the last bit',
      async (_type, geometry) => {
        await save(site('g', [lawn('g', 0, geometry)]));
        expect((await store().features.one(tenant, 'site-areas', 'g.0'))?.geometry).toEqual(geometry);
      },
    );

    it('come in pages that neither lose nor repeat any, while others are written and removed', async () => {
      const ids = Array.from({ length: 23 }, (_, i) => i);
      await save(
        site(
          'p',
          ids.map((i) => lawn('p', i, square(10 + i / 100, 50))),
        ),
      );
      const seen: string[] = [];
      let after: string | undefined;
      for (let turn = 0; ; turn++) {
        const page = await store().features.page({ ...query(), after }, 5);
        if (page.length === 0) break;
        seen.push(...page.map(({ id }) => id));
        after = page.at(-1)?.id;
        await save(site(`zz-${turn}`, [lawn(`zz-${turn}`, 0, square(0, 0))]));
        if (turn > 20) throw new Error('paging does not end');
      }
      const own = seen.filter((id) => id.startsWith('p.'));
      expect(own.toSorted()).toEqual(ids.map((i) => `p.${i}`).toSorted());
      expect(new Set(seen).size).toBe(seen.length);
      expect(seen).toEqual(seen.toSorted((a, b) => (a < b ? -1 : 1)));
    });

    it('are found by box: all that meet it, and not all there are', async () => {
      const grid = Array.from({ length: 100 }, (_, i) =>
        lawn('b', i, square((i % 10) * 0.1, Math.floor(i / 10) * 0.1, 0.01)),
      );
      await save(site('b', grid));
      const found = await store().features.page({ ...query(), boxes: [[0.2, 0.2, 0.301, 0.301]] }, 100);
      const ids = found.map(({ id }) => id);
      for (const wanted of ['b.22', 'b.23', 'b.32', 'b.33']) expect(ids).toContain(wanted);
      expect(ids.length).toBeLessThan(10);
      expect(await store().features.count({ ...query(), boxes: [[0.2, 0.2, 0.301, 0.301]] })).toBe(ids.length);
      const two = await store().features.page(
        {
          ...query(),
          boxes: [
            [-1, -1, 0.05, 0.05],
            [0.85, 0.85, 2, 2],
          ],
        },
        100,
      );
      expect(two.map(({ id }) => id)).toEqual(['b.0', 'b.99']);
    });

    it('tell where all of them lie and when they were written', async () => {
      expect(await store().features.extent(tenant, 'site-areas')).toBeUndefined();
      await save(site('e', [lawn('e', 0, square(1, 2)), lawn('e', 1, square(-3, 5))]));
      const extent = await store().features.extent(tenant, 'site-areas');
      expect(extent).toEqual({ count: 2, box: [-3, 2, 1.001, 5.001], from: clock.now, to: clock.now });
    });

    it('are all visited by a scan, batch by batch', async () => {
      await save(
        site(
          's',
          Array.from({ length: 1203 }, (_, i) => lawn('s', i, square(i / 1000, 0))),
        ),
      );
      const ids: string[] = [];
      for await (const { id } of store().features.scan(query())) ids.push(id);
      expect(new Set(ids).size).toBe(1203);
    });
  });

  describe('plans', () => {
    const plan = { type: 'FeatureCollection', id: 'a', features: [] } as unknown as Plan;
    const outcome = { state: 'planned', version: 1, inputHash: 'hash-1', plan } as const;
    const route: NewFeature = {
      collection: 'route',
      id: 'a.route-1',
      siteId: 'a',
      origin: 'plan',
      ordinal: 0,
      geometry: {
        type: 'LineString',
        coordinates: [
          [10, 50],
          [10.001, 50],
        ],
      },
      properties: { lengthM: 71.7 },
    };

    it('are kept by version, with what they were planned from, and become features', async () => {
      await save(site('a'));
      expect(await store().plans.save(tenant, { id: 'a', version: 1 }, outcome, [route])).toBe(true);
      expect(await store().plans.versions(tenant, 'a')).toEqual([
        { version: 1, inputHash: 'hash-1', created: clock.now },
      ]);
      expect(await store().plans.body(tenant, 'a', 1)).toEqual(plan);
      expect(await store().plans.body(tenant, 'a', 2)).toBeUndefined();
      expect((await store().features.page(query('route'), 10))[0]).toMatchObject({ id: 'a.route-1' });
      expect(await store().sites.one(tenant, 'a')).toMatchObject({ planState: 'planned', planVersion: 1 });
    });

    it('of a site that was written since are refused and leave no trace', async () => {
      await save(site('a'));
      expect(await store().plans.save(tenant, { id: 'a', version: 9 }, outcome, [route])).toBe(false);
      expect(await store().plans.versions(tenant, 'a')).toEqual([]);
      expect(await store().features.page(query('route'), 10)).toEqual([]);
    });

    it('replace the features of the plan before, and a refusal removes them', async () => {
      await save(site('a'));
      await store().plans.save(tenant, { id: 'a', version: 1 }, outcome, [route]);
      const lead = { ...route, collection: 'lead', id: 'a.lead-1' };
      await store().plans.save(tenant, { id: 'a', version: 1 }, { ...outcome, version: 2, inputHash: 'hash-2' }, [
        lead,
      ]);
      expect(await store().features.page(query('route'), 10)).toEqual([]);
      expect((await store().features.page(query('lead'), 10)).length).toBe(1);
      expect((await store().plans.versions(tenant, 'a')).length).toBe(2);
      await store().plans.save(tenant, { id: 'a', version: 1 }, { state: 'refused', problem: 'no lawn' }, []);
      expect(await store().features.page(query('lead'), 10)).toEqual([]);
      expect(await store().sites.one(tenant, 'a')).toMatchObject({ planState: 'refused', problem: 'no lawn' });
    });

    it('stay visible, marked as queued, while a newer one is to come', async () => {
      await save(site('a'));
      const mark = queuedPlan(tenant, { id: 'a', name: 'A', ground: square(10, 50) }, undefined, clock.now);
      await store().database.write([mark]);
      const present = await store().features.one(tenant, 'plans', 'a');
      expect(present?.properties).toEqual({ name: 'A', state: 'queued' });
    });
  });

  describe('books', () => {
    const bytes = (text: string) => new TextEncoder().encode(text);
    const put = (text: string, after: number | undefined, id = 'firm') =>
      store().books.put(tenant, 'price-books', { id, mediaType: 'application/json', body: bytes(text) }, after);
    const present = async () => {
      const book = await store().books.one(tenant, 'price-books', 'firm');
      return book && [book.version, new TextDecoder().decode(book.body)];
    };

    it('are kept, replaced, listed and removed by kind and tenant', async () => {
      expect((await put('{"taxPct":19}', undefined))?.version).toBe(1);
      expect((await put('{}', 1))?.version).toBe(2);
      expect(await present()).toEqual([2, '{}']);
      const list = await store().books.list(tenant, 'price-books');
      expect(list.map(({ id, version, byteCount }) => [id, version, byteCount])).toEqual([['firm', 2, 2]]);
      expect(await store().books.list(tenant, 'rule-sets')).toEqual([]);
      expect(await store().books.one('stranger', 'price-books', 'firm')).toBeUndefined();
      expect(await store().books.one('stranger', 'price-books', 'firm', 1)).toBeUndefined();
      expect(await store().books.versions('stranger', 'price-books', 'firm')).toEqual([]);
      expect(await store().books.remove(tenant, 'price-books', 'firm')).toBe(true);
      expect(await store().books.remove(tenant, 'price-books', 'firm')).toBe(false);
    });

    it('keep every version, also of what was removed, and go on counting', async () => {
      await put('one', undefined);
      await put('two', 1);
      await store().books.remove(tenant, 'price-books', 'firm');
      expect(await present()).toBeUndefined();
      const first = await store().books.one(tenant, 'price-books', 'firm', 1);
      expect(new TextDecoder().decode(first?.body)).toBe('one');
      expect((await put('three', undefined))?.version).toBe(3);
      const versions = await store().books.versions(tenant, 'price-books', 'firm');
      expect(versions.map(({ version, byteCount }) => [version, byteCount])).toEqual([
        [1, 3],
        [2, 3],
        [3, 5],
      ]);
    });

    it('are not kept again where nothing changed, nor over what somebody else wrote', async () => {
      const kept = await put('one', undefined);
      expect(await put('one', 1)).toEqual(kept);
      expect(await put('two', undefined)).toBeUndefined();
      const both = await Promise.all([put('left', 1), put('right', 1)]);
      expect(both.filter((one) => one !== undefined)).toHaveLength(1);
      expect((await store().books.versions(tenant, 'price-books', 'firm')).map(({ version }) => version)).toEqual([
        1, 2,
      ]);
    });
  });

  describe('keys, shares and the audit log', () => {
    it('know a key by its secret alone, and keep no secret', async () => {
      const { key, secret } = await store().tenants.addKey(tenant, 'office', ['read', 'write'], null);
      expect(await store().tenants.keyBySecret(secret)).toEqual(key);
      expect(await store().tenants.keyBySecret(`${secret}x`)).toBeUndefined();
      expect(JSON.stringify(await store().database.read('select * from access_key'))).not.toContain(secret);
      expect(isValid(key, clock.now)).toBe(true);
    });

    it('refuse a key that is revoked or past its time', async () => {
      const { key, secret } = await store().tenants.addKey(tenant, 'office', ['read'], '2028-01-01T00:00:00.000Z');
      expect(isValid(key, '2027-12-31T23:59:59.999Z')).toBe(true);
      expect(isValid(key, '2028-01-01T00:00:00.000Z')).toBe(false);
      expect(await store().tenants.revokeKey('stranger', key.id)).toBe(false);
      expect(await store().tenants.revokeKey(tenant, key.id)).toBe(true);
      const revoked = await store().tenants.keyBySecret(secret);
      expect(revoked !== undefined && isValid(revoked, clock.now)).toBe(false);
      expect((await store().tenants.keys(tenant)).length).toBe(1);
    });

    it('know a share by its secret, and can revoke it', async () => {
      await save(site('a'));
      const { share, secret } = await store().tenants.addShare(tenant, 'a', null);
      expect(await store().tenants.shareBySecret(secret)).toEqual(share);
      expect(await store().tenants.revokeShare(tenant, share.id)).toBe(true);
      expect((await store().tenants.shareBySecret(secret))?.revoked).toBe(clock.now);
    });

    it('note who wrote what, the latest first', async () => {
      const deed = { at: clock.now, actor: 'k1', method: 'PUT', path: '/x', status: 204, requestId: 'r' };
      await store().tenants.note(tenant, deed);
      await store().tenants.note(tenant, { ...deed, path: '/y' });
      expect((await store().tenants.deeds(tenant, 9)).map(({ path }) => path)).toEqual(['/y', '/x']);
    });
  });

  it('hangs together', async () => {
    await expect(store().database.check()).resolves.toBeUndefined();
  });
}
