import { beforeAll, describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';

/** OGC 20-002r1, OGC API - Features - Part 4: Create, Replace, Update and Delete. */
const service = useKeptService();
const AREAS = '/ogc/collections/site-areas/items';
const SITES = '/ogc/collections/sites/items';
const get = (path: string, headers: Record<string, string> = {}) => service().request(path, { headers });
const send = (method: string, path: string, body?: unknown, headers?: Record<string, string>) =>
  service().send(method, path, body, headers);
const PATCH = { 'content-type': 'application/merge-patch+json' };

const bed = (west: number, site = 'test-garden') => ({
  type: 'Feature',
  properties: { site, kind: 'keep-out', name: 'Bed', height: null },
  geometry: {
    type: 'Polygon',
    coordinates: [
      [
        [west, 52.25003],
        [west + 0.00001, 52.25003],
        [west + 0.00001, 52.25004],
        [west, 52.25004],
        [west, 52.25003],
      ],
    ],
  },
});
const planOf = async (id = 'test-garden') => (await get(`/ogc/collections/plans/items/${id}`)).json();

beforeAll(async () => {
  await service().addSite(garden());
});

describe('OPTIONS', () => {
  it.each([
    [AREAS, 'GET, HEAD, POST, OPTIONS'],
    [`${AREAS}/test-garden.0`, 'GET, HEAD, PUT, PATCH, DELETE, OPTIONS'],
    ['/ogc/collections/route/items', 'GET, HEAD, OPTIONS'],
    ['/ogc/collections/route/items/test-garden.route-1', 'GET, HEAD, OPTIONS'],
  ])('/req/create-replace-delete/options: of %s tell %s', async (path, allow) => {
    const answer = await service().request(path, { method: 'OPTIONS' });
    expect([answer.status, answer.headers.get('allow')]).toEqual([200, allow]);
  });

  it('preflights of pages from elsewhere are answered as such', async () => {
    const answer = await service().request(AREAS, {
      method: 'OPTIONS',
      headers: { 'access-control-request-method': 'POST', origin: 'http://x' },
    });
    expect(answer.status).toBe(204);
    expect(answer.headers.get('access-control-allow-headers')).toContain('If-Match');
  });
});

describe('adding, changing and removing a feature', () => {
  it('/req/create-replace-delete/post: 201, an absolute Location, and the plan follows', async () => {
    const before = (await planOf()).properties;
    const answer = await send('POST', AREAS, bed(10.50005));
    expect(answer.status).toBe(201);
    const location = answer.headers.get('location') ?? '';
    expect(location).toBe(`${BASE}${AREAS}/test-garden.3`);
    const kept = await (await get(location)).json();
    expect(kept.properties).toMatchObject({ site: 'test-garden', kind: 'keep-out', name: 'Bed', height: null });
    await service().settled();
    const after = (await planOf()).properties;
    expect(after.version).toBe(before.version + 1);
    expect(after.keepOutLengthM).toBeGreaterThan(before.keepOutLengthM);
    expect((await (await get('/ogc/collections/keep-out-loop/items')).json()).numberMatched).toBe(2);
  });

  it('/req/create-replace-delete/put: replaces all of it; /req/update/patch: changes what it says, null unsets', async () => {
    const path = `${AREAS}/test-garden.3`;
    const put = await send('PUT', path, { ...bed(10.50006), id: 'test-garden.3' });
    expect(put.status).toBe(200);
    expect((await put.json()).geometry.coordinates[0][0][0]).toBe(10.50006);
    const patched = await send('PATCH', path, { properties: { name: 'Roses', height: 0.4 } }, PATCH);
    expect((await patched.json()).properties).toMatchObject({ name: 'Roses', height: 0.4, kind: 'keep-out' });
    const unset = await send('PATCH', path, { properties: { name: null } }, PATCH);
    expect((await unset.json()).properties).toMatchObject({ name: null, height: 0.4 });
    const moved = await send('PATCH', path, { geometry: bed(10.50007).geometry }, PATCH);
    expect((await moved.json()).geometry.coordinates[0][0][0]).toBe(10.50007);
  });

  it('tells the validator of a site with its document, so that it can be read, changed and written back', async () => {
    const id = await service().addSite({ ...garden(), id: 'read-me', name: 'Read me' });
    const item = `/ogc/collections/sites/items/${id}`;
    const read = await service().request(`/ogc/sites/${id}`);
    const etag = read.headers.get('etag') ?? '';
    expect(etag).toBe((await service().request(item)).headers.get('etag'));
    expect((await service().request(`/ogc/sites/${id}`, { headers: { 'if-none-match': etag } })).status).toBe(304);
    const site = await read.json();
    const written = await send('PUT', item, { ...site, name: 'Written' }, { 'if-match': etag });
    expect(written.status).toBe(200);
    const late = await send('PUT', item, { ...site, name: 'Too late' }, { 'if-match': etag });
    expect(late.status).toBe(412);
    expect((await service().json(`/ogc/sites/${id}`)).name).toBe('Written');
    expect(written.headers.get('etag')).toBe((await service().request(`/ogc/sites/${id}`)).headers.get('etag'));
  });

  it('/req/optimistic-locking-etags: a write from an old reading is 412, `*` and none at all are taken', async () => {
    const path = `${AREAS}/test-garden.3`;
    const etag = (await get(path)).headers.get('etag') ?? '';
    const first = await send('PATCH', path, { properties: { name: 'A' } }, { ...PATCH, 'if-match': etag });
    expect(first.status).toBe(200);
    expect(first.headers.get('etag')).not.toBe(etag);
    const second = await send('PATCH', path, { properties: { name: 'B' } }, { ...PATCH, 'if-match': etag });
    expect(second.status).toBe(412);
    expect((await (await get(path)).json()).properties.name).toBe('A');
    expect((await send('PUT', `${AREAS}/nobody`, bed(10.5), { 'if-match': '"x"' })).status).toBe(412);
    expect((await send('PATCH', path, { properties: { name: 'C' } }, { ...PATCH, 'if-match': '*' })).status).toBe(200);
  });

  it('of two writers at once with one reading, one wins', async () => {
    const path = `${AREAS}/test-garden.3`;
    const etag = (await get(path)).headers.get('etag') ?? '';
    const write = (name: string) => send('PATCH', path, { properties: { name } }, { ...PATCH, 'if-match': etag });
    const statuses = (await Promise.all([write('left'), write('right')])).map(({ status }) => status);
    expect(statuses.toSorted()).toEqual([200, 412]);
  });

  it('many writers at once without one lose nothing', async () => {
    const made = await Promise.all([0, 1, 2].map((i) => send('POST', AREAS, bed(10.50011 + i / 50_000))));
    expect(made.map(({ status }) => status)).toEqual([201, 201, 201]);
    const places = made.map(({ headers }) => headers.get('location') ?? '');
    expect(new Set(places).size).toBe(3);
    for (const place of places) expect((await service().request(place, { method: 'DELETE' })).status).toBe(204);
  });

  it('takes coordinates in the system that Content-Crs names', async () => {
    const swapped = {
      ...bed(10.5),
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [52.25003, 10.5001],
            [52.25003, 10.50011],
            [52.25004, 10.50011],
            [52.25003, 10.5001],
          ],
        ],
      },
    };
    const answer = await send('POST', AREAS, swapped, {
      'content-crs': '<http://www.opengis.net/def/crs/EPSG/0/4326>',
    });
    expect(answer.status).toBe(201);
    expect((await answer.json()).geometry.coordinates[0][0]).toEqual([10.5001, 52.25003]);
    expect((await send('POST', AREAS, swapped, { 'content-crs': '<urn:nonsense>' })).status).toBe(400);
    expect((await service().request(answer.headers.get('location') ?? '', { method: 'DELETE' })).status).toBe(204);
  });

  it('/req/create-replace-delete/delete: 204, then 404, and the plan is the old one again, of the old version', async () => {
    expect((await send('DELETE', `${AREAS}/test-garden.3`)).status).toBe(204);
    expect((await send('DELETE', `${AREAS}/test-garden.3`)).status).toBe(404);
    await service().settled();
    expect((await planOf()).properties).toMatchObject({ version: 1, state: 'planned' });
    expect((await (await get('/ogc/sites/test-garden/plans')).json()).versions.length).toBeGreaterThan(3);
  });

  it.each([
    ['no site', { ...bed(10.5), properties: { kind: 'lawn' } }, '/properties/site'],
    ['a site that is not there', bed(10.5, 'nowhere'), '/properties/site'],
    ['no place', { ...bed(10.5), geometry: null }, '/geometry'],
    [
      'a point among areas',
      { ...bed(10.5), geometry: { type: 'Point', coordinates: [10.5, 52.25] } },
      '/geometry/type',
    ],
    [
      'a position that is none',
      {
        ...bed(10.5),
        geometry: {
          type: 'Polygon',
          coordinates: [
            [
              [10.5, 'x'],
              [1, 2],
              [3, 4],
              [10.5, 'x'],
            ],
          ],
        },
      },
      '/geometry/coordinates/0/0/1',
    ],
    ['a place half a world away', bed(-100), '/geometry/coordinates/0/0'],
    ['no feature', [], ''],
  ])('refuses %s with a pointer', async (_what, body, pointer) => {
    const answer = await send('POST', AREAS, body);
    expect(answer.status).toBe(422);
    const { errors } = await answer.json();
    expect(errors[0].pointer).toBe(pointer);
  });

  it('refuses what is no JSON, another media type, a new id, another site, and plans', async () => {
    expect((await send('POST', AREAS, '{')).status).toBe(400);
    expect((await send('POST', AREAS, '<a/>', { 'content-type': 'text/xml' })).status).toBe(415);
    const own = `${AREAS}/test-garden.1`;
    expect((await send('PATCH', own, { id: 'other' }, PATCH)).status).toBe(422);
    expect((await send('PATCH', own, { properties: { site: 'other' } }, PATCH)).status).toBe(422);
    const plan = await send('PATCH', '/ogc/collections/route/items/test-garden.route-1', { properties: {} }, PATCH);
    expect([plan.status, plan.headers.get('allow')]).toEqual([405, 'GET, HEAD, OPTIONS']);
  });
});

describe('sites', () => {
  it('come as a whole document, and go out as one again', async () => {
    const answer = await send('POST', SITES, { ...garden(), id: 'second', name: 'Second', rules: 'small-lawn' });
    expect(answer.status).toBe(201);
    expect((await answer.json()).properties).toMatchObject({
      name: 'Second',
      rules: 'small-lawn',
      featureCount: 3,
      version: 1,
    });
    const document = await (await get('/ogc/sites/second')).json();
    expect(document).toMatchObject({ type: 'FeatureCollection', id: 'second', name: 'Second', rules: 'small-lawn' });
    expect(document.features.map(({ geometry }: { geometry: object }) => geometry)).toEqual(
      garden().features.map(({ geometry }) => geometry),
    );
    await service().settled();
    const planned = await (await service().send('POST', '/plan', document)).json();
    const kept = await (await get('/ogc/sites/second/plan')).json();
    expect(kept.summary).toEqual(planned.summary);
    expect((await send('POST', SITES, { ...garden(), id: 'second' })).status).toBe(409);
  });

  it('come as an outline, and can be named and given rules', async () => {
    const [lawn] = garden().features;
    const made = await send('POST', SITES, {
      type: 'Feature',
      properties: { name: 'Outline' },
      geometry: lawn.geometry,
    });
    expect(made.status).toBe(201);
    const { id } = await made.json();
    const patched = await send(
      'PATCH',
      `${SITES}/${id}`,
      { properties: { name: 'Named', rules: 'large-lawn' } },
      PATCH,
    );
    expect((await patched.json()).properties).toMatchObject({ name: 'Named', rules: 'large-lawn' });
    const wrong = await send('PATCH', `${SITES}/${id}`, { properties: { rules: 'fancy' } }, PATCH);
    expect(wrong.status).toBe(422);
    expect((await wrong.json()).errors[0].pointer).toBe('/properties/rules');
    expect((await send('PATCH', `${SITES}/${id}`, { geometry: lawn.geometry }, PATCH)).status).toBe(422);
    expect((await send('DELETE', `${SITES}/${id}`)).status).toBe(204);
    expect((await get(`${SITES}/${id}`)).status).toBe(404);
    expect((await (await get(`/ogc/collections/plans/items?site=${id}`)).json()).numberMatched).toBe(0);
  });

  it('are replaced as a whole', async () => {
    const put = await send('PUT', `${SITES}/second`, {
      ...garden(),
      id: 'second',
      name: 'Smaller',
      features: garden().features.slice(0, 1),
    });
    expect((await put.json()).properties).toMatchObject({ name: 'Smaller', featureCount: 1 });
    expect((await (await get('/ogc/collections/site-areas/items?site=second')).json()).numberMatched).toBe(1);
    expect((await send('PUT', `${SITES}/nowhere`, garden())).status).toBe(404);
  });

  it('keep at least one feature', async () => {
    const last = await send('DELETE', '/ogc/collections/site-areas/items/second.0');
    expect(last.status).toBe(409);
  });

  it('that cannot be planned say why, at their plan', async () => {
    const [lawn] = garden().features;
    const site = { ...garden(), id: 'refused', features: [{ ...lawn, properties: { kind: 'outlet' } }] };
    const answer = await send('POST', SITES, site);
    expect(answer.status).toBe(201);
    await service().settled();
    const { properties } = await planOf('refused');
    expect(['planned', 'refused']).toContain(properties.state);
    if (properties.state === 'planned') expect(properties.stops).toBeGreaterThan(0);
    else expect(properties.problem).toMatch(/\w/);
  });

  it('name rule sets and price books of the firm, which are checked when they are kept', async () => {
    const put = (path: string, body: unknown) =>
      send('PUT', `/ogc${path}`, body, { 'content-type': 'application/json' });
    expect((await put('/rule-sets/ours', { base: 'default', chamferLegM: 0.2 })).status).toBe(204);
    expect((await put('/rule-sets/wrong', { base: 'default', chamferLegM: 99 })).status).toBe(422);
    expect((await put('/price-books/ours', { currency: 'CHF' })).status).toBe(204);
    expect((await put('/price-books/wrong', { currency: 'francs' })).status).toBe(422);
    expect((await send('PUT', '/ogc/grids/ground', 'no grid', { 'content-type': 'text/plain' })).status).toBe(422);
    const id = await service().addSite({ ...garden(), id: 'ours', rules: 'ours', prices: 'ours' } as never);
    const plan = await (await get(`/ogc/sites/${id}/plan`)).json();
    expect(plan.rules.chamferLegM).toBe(0.2);
    expect(plan.summary.currency).toBe('CHF');
    expect((await (await get('/ogc/rule-sets')).json()).books.map(({ id: book }: { id: string }) => book)).toEqual([
      'ours',
    ]);
    expect((await send('DELETE', '/ogc/rule-sets/ours')).status).toBe(204);
    expect((await get('/ogc/rule-sets/ours')).status).toBe(404);
  });
});
