import SwaggerParser from '@apidevtools/swagger-parser';
import { Validator } from '@seriousme/openapi-schema-validator';
import { beforeAll, describe, expect, it } from 'vitest';
import { COLLECTIONS } from '#api/collections/collections.ts';
import { ITEM_FORMATS } from '#api/collections/describe.ts';
import { apiDocument } from '#api/ogc/api-document.ts';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';

/** OGC 17-069r4, OGC API - Features - Part 1: Core. Names of tests carry the requirement. */
const service = useKeptService();
const get = (path: string, headers: Record<string, string> = {}) => service().request(`/ogc${path}`, { headers });
const json = async (path: string) => (await get(path)).json();
type Link = { rel: string; href: string; type: string };
const rels = (links: readonly Link[], rel: string) => links.filter((link) => link.rel === rel);

let pegCount = 0;

beforeAll(async () => {
  const id = await service().addSite(garden());
  pegCount = await service().pegCount(id);
  expect(pegCount).toBeGreaterThan(100);
});

describe('the landing page', () => {
  it('/req/core/root-success: links to the API, conformance and data, with and without a slash', async () => {
    for (const path of ['', '/', '?f=json', '/?f=json']) {
      const { links, title } = await json(path);
      expect(title).toBe('Loopwright');
      expect(rels(links, 'service-desc')[0]).toMatchObject({
        href: `${BASE}/ogc/api`,
        type: 'application/vnd.oai.openapi+json;version=3.0',
      });
      expect(rels(links, 'service-doc')[0].type).toBe('text/html');
      for (const rel of ['self', 'alternate', 'conformance', 'data'])
        expect(rels(links, rel).length).toBeGreaterThan(0);
    }
  });

  it('answers every kind of caller in the form it likes: JSON unless HTML ranks higher', async () => {
    const typeFor = async (accept: string) => (await get('', { accept })).headers.get('content-type');
    expect(await typeFor('*/*')).toBe('application/json');
    expect(await typeFor('application/geo+json, application/json')).toBe('application/json');
    expect(await typeFor('text/html,application/xhtml+xml,*/*;q=0.8')).toContain('text/html');
    expect((await get('?f=html')).headers.get('content-security-policy')).toContain("style-src 'self'");
  });

  it('has links that are absolute and answer', async () => {
    for (const path of ['', '/collections/zone', '/collections/zone/items']) {
      const { links }: { links: Link[] } = await json(path);
      for (const { href, rel } of links) {
        expect(href.startsWith(`${BASE}/ogc`)).toBe(true);
        if (!rel.includes('tilesets')) expect((await service().request(href)).status, href).toBe(200);
      }
    }
  });
});

describe('the API document', () => {
  it('/req/oas30/oas-definition-1: is valid by two validators and points nowhere else', async () => {
    const answer = await get('/api');
    expect(answer.headers.get('content-type')).toBe('application/vnd.oai.openapi+json;version=3.0');
    const document = await answer.json();
    const text = JSON.stringify(document);
    expect(document.openapi).toMatch(/^3\.0\./);
    expect(document.servers[0].url).toBe(`${BASE}/ogc`);
    for (const [, target] of text.matchAll(/"\$ref":"([^"]+)"/g)) expect(target.startsWith('#/')).toBe(true);
    const second = await new Validator().validate(structuredClone(document));
    expect(second).toMatchObject({ valid: true });
    await expect(SwaggerParser.validate(document)).resolves.toBeDefined();
  });

  it('/req/core/fc-limit-definition, fc-bbox-definition, fc-time-definition: writes the parameters out', async () => {
    const { components, paths } = await json('/api');
    expect(components.parameters.limit).toMatchObject({
      in: 'query',
      required: false,
      style: 'form',
      explode: false,
      schema: { type: 'integer', minimum: 1, maximum: 10_000, default: 1_000 },
    });
    expect(components.parameters.bbox).toMatchObject({
      style: 'form',
      explode: false,
      schema: { type: 'array', minItems: 4, maxItems: 6, items: { type: 'number' } },
    });
    expect(components.parameters.datetime).toMatchObject({ style: 'form', explode: false, schema: { type: 'string' } });
    const names = paths['/collections/peg/items'].get.parameters.map((one: { name?: string }) => one.name);
    expect(names).toEqual(expect.arrayContaining(['site', 'chainageM', 'pass']));
  });

  it('gives every operation an id of its own, and knows every route that is mounted', async () => {
    const document = apiDocument(`${BASE}/ogc`, 'test', true);
    const ids = [...JSON.stringify(document).matchAll(/"operationId":"([^"]+)"/g)].map(([, id]) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.length).toBeGreaterThan(60);
  });
});

describe('conformance', () => {
  it('/req/core/conformance-success: lists classes of the 1.0 standards', async () => {
    const { conformsTo } = await json('/conformance');
    for (const name of ['core', 'oas30', 'html', 'geojson']) {
      expect(conformsTo).toContain(`http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/${name}`);
    }
  });
});

describe('collections', () => {
  it('/req/core/fc-md-success: lists all, each equal to itself alone', async () => {
    const { collections, links } = await json('/collections');
    expect(collections.map(({ id }: { id: string }) => id)).toEqual(COLLECTIONS.map(({ id }) => id));
    expect(rels(links, 'self').length).toBe(1);
    for (const listed of collections) {
      const { links: own, ...alone } = await json(`/collections/${listed.id}`);
      const { links: inList, ...entry } = listed;
      expect(alone).toEqual(entry);
      for (const { id, mediaType } of ITEM_FORMATS) {
        expect(rels(inList, 'items').find(({ type }) => type === mediaType)?.href).toContain(`f=${id}`);
      }
      expect(own.length).toBeGreaterThan(5);
      expect(listed.id).toMatch(/^[a-z0-9_-]+$/);
    }
  });

  it('/req/core/fc-md-extent: an extent holds all features, and follows when they change', async () => {
    const before = (await json('/collections/site-points')).extent;
    expect(before.spatial.bbox[0]).toHaveLength(4);
    const [west, south] = before.spatial.bbox[0];
    const point = {
      type: 'Feature',
      properties: { site: 'test-garden', kind: 'tree', radius: 0.2 },
      geometry: { type: 'Point', coordinates: [west - 0.0001, south] },
    };
    const made = await service().send('POST', '/ogc/collections/site-points/items', point);
    expect(made.status).toBe(201);
    expect((await json('/collections/site-points')).extent.spatial.bbox[0][0]).toBe(west - 0.0001);
    await service().request(made.headers.get('location') ?? '', { method: 'DELETE' });
    await service().settled();
    expect((await json('/collections/site-points')).extent.spatial).toEqual(before.spatial);
  });

  it('answers 404 for a collection that is not there', async () => {
    const answer = await get('/collections/dUmmYColLection');
    expect(answer.status).toBe(404);
    expect((await answer.json()).detail).toContain('site-areas');
  });
});

describe('features', () => {
  it('/req/core/fc-response: a page tells time, counts and links, and every feature its id and all its properties', async () => {
    const page = await json('/collections/peg/items?limit=7');
    expect(page.timeStamp).toMatch(/^\d{4}-\d\d-\d\dT[\d:.]+Z$/);
    expect(page).toMatchObject({ type: 'FeatureCollection', numberReturned: 7, numberMatched: pegCount });
    expect(rels(page.links, 'self')[0].type).toBe('application/geo+json');
    expect(rels(page.links, 'alternate').length).toBe(ITEM_FORMATS.length - 1);
    for (const { id, properties } of page.features) {
      expect(id).toMatch(/^test-garden\.peg-/);
      expect(Object.keys(properties)).toEqual(
        expect.arrayContaining(['site', 'plan', 'chainageM', 'signalUnit', 'pass']),
      );
    }
  });

  it.each([1, 7, 50, 123, 10_000])(
    '/req/core/fc-links: pages of %i lose and repeat none, and the last has no next',
    async (limit) => {
      const seen: string[] = [];
      let path: string | undefined = `/collections/peg/items?limit=${limit}&f=json`;
      let turns = 0;
      while (path !== undefined && turns++ < 200) {
        const answer: Response = await service().request(path.startsWith('http') ? path : `/ogc${path}`);
        const page = await answer.json();
        seen.push(...page.features.map(({ id }: { id: string }) => id));
        const next: string | undefined = rels(page.links, 'next')[0]?.href;
        expect(answer.headers.get('link')?.includes('rel="next"') ?? false).toBe(next !== undefined);
        path = next;
      }
      expect(seen.length).toBe(pegCount);
      expect(new Set(seen).size).toBe(pegCount);
    },
  );

  it('a cursor survives another limit, as one that follows it may ask for', async () => {
    const { links } = await json('/collections/peg/items?limit=100');
    const next = rels(links, 'next')[0].href.replace('limit=100', 'limit=10000');
    expect((await (await service().request(next)).json()).features.length).toBe(pegCount - 100);
  });

  it('/req/core/fc-limit-response: more than the maximum counts as the maximum, nonsense as an error', async () => {
    expect((await get('/collections/peg/items?limit=99999')).status).toBe(200);
    for (const limit of ['0', '-1', 'unlimited', '1.5', '']) {
      expect((await get(`/collections/peg/items?limit=${limit}`)).status, limit).toBe(400);
    }
  });

  it('passes over what offset says', async () => {
    const all = await json('/collections/peg/items');
    const some = await json('/collections/peg/items?offset=100&limit=50');
    expect(some.features.map(({ id }: { id: string }) => id)).toEqual(
      all.features.slice(100).map(({ id }: { id: string }) => id),
    );
    expect(some.numberMatched).toBe(pegCount);
  });

  it.each([
    ['177,65,-177,70', 0],
    ['-180,-90,180,90', 'all'],
    ['.5000000,.5000000,1.5000000,1.5000000', 0],
    ['10.4999999999999986,52.2499999999999986,10.6,52.3', 'all'],
    ['10.5%2C52.2499%2C10.6%2C52.3', 'all'],
    ['10.4,52.2,-100,10.6,52.3,100', 'all'],
    ['-180,-90,180,-90', 0],
  ])('/req/core/fc-bbox-response: bbox=%s finds %s', async (bbox, count) => {
    const { numberMatched } = await json(`/collections/peg/items?bbox=${bbox}`);
    expect(numberMatched).toBe(count === 'all' ? pegCount : count);
  });

  it('/req/core/fc-bbox-response: a box finds what meets it, not what only its box meets', async () => {
    // The ring of the wire around the bed has nothing at the middle of the bed but the hole of the working area.
    const { features } = await json('/collections/keep-out-loop/items');
    const ring: number[][] = features[0].geometry.coordinates[0];
    const lon = ring.reduce((sum, [x]) => sum + x, 0) / ring.length;
    const lat = ring.reduce((sum, [, y]) => sum + y, 0) / ring.length;
    const around = `${lon - 1e-6},${lat - 1e-6},${lon + 1e-6},${lat + 1e-6}`;
    expect((await json(`/collections/working-area/items?bbox=${around}`)).numberMatched).toBe(0);
    expect((await json(`/collections/keep-out-loop/items?bbox=${around}`)).numberMatched).toBe(1);
    expect((await json(`/collections/boundary-loop/items?bbox=${around}`)).numberMatched).toBe(1);
  });

  it.each(['1,2,3', 'a,b,c,d', '1,2,3,4,5', '1,9,2,3', '', '1,,2,3'])('refuses bbox=%s', async (bbox) => {
    expect((await get(`/collections/peg/items?bbox=${bbox}`)).status).toBe(400);
  });

  it.each([
    ['2000-01-01T00:00:00Z/..', 'all'],
    ['../2000-01-01T00:00:00Z', 0],
    ['2000-01-01T00:00:00Z', 0],
    ['2000-01-01T00:00:00%2B01:00/2999-01-01T00:00:00Z', 'all'],
    ['/2999-12-31T00:00:00Z', 'all'],
  ])('/req/core/fc-time-response: datetime=%s finds %s', async (datetime, count) => {
    const { numberMatched } = await json(`/collections/peg/items?datetime=${datetime}`);
    expect(numberMatched).toBe(count === 'all' ? pegCount : count);
  });

  it.each(['yesterday', '..', '2000-13-01T00:00:00Z', '2001-01-01T00:00:00Z/2000-01-01T00:00:00Z', 'a/b/c'])(
    'refuses datetime=%s',
    async (datetime) => {
      expect((await get(`/collections/peg/items?datetime=${datetime}`)).status).toBe(400);
    },
  );

  it('/rec/core/fc-filters: finds by the value of a property', async () => {
    const trial = await json('/collections/peg/items?pass=trial');
    const final = await json('/collections/peg/items?pass=final');
    expect(trial.numberMatched + final.numberMatched).toBe(pegCount);
    expect(
      trial.features.every(({ properties }: { properties: { pass: string } }) => properties.pass === 'trial'),
    ).toBe(true);
    expect((await json('/collections/peg/items?chainageM=0&pass=trial')).numberMatched).toBe(1);
    expect((await get('/collections/peg/items?chainageM=far')).status).toBe(400);
    expect((await json('/collections/peg/items?site=elsewhere')).numberMatched).toBe(0);
  });

  it.each(['?colour=green', '?limit=1&limit=2', '?limit=%zz', '?F=json'])(
    '/req/core/query-param-unknown, query-param-invalid: refuses %s',
    async (query) => {
      const answer = await get(`/collections/peg/items${query}`);
      expect(answer.status).toBe(400);
      expect(answer.headers.get('content-type')).toBe('application/problem+json');
    },
  );

  it('tells errors as plain JSON to callers who accept nothing else', async () => {
    const answer = await get('/collections/moon', { accept: 'application/json' });
    expect(answer.headers.get('content-type')).toBe('application/json');
  });

  it('/req/core/f-success: a feature alone equals that in the list, and links to its collection', async () => {
    const { features } = await json('/collections/zone/items');
    const { links, ...alone } = await json(`/collections/zone/items/${features[0].id}`);
    expect(alone).toEqual(features[0]);
    for (const rel of ['self', 'alternate', 'collection']) expect(rels(links, rel)[0].type).toBeDefined();
    expect((await get('/collections/zone/items/nobody')).status).toBe(404);
  });

  it('tells an ETag, and nothing more to who has it', async () => {
    const first = await get('/collections/zone/items/test-garden.zone-1');
    const etag = first.headers.get('etag') ?? '';
    expect(etag).toMatch(/^"[\w-]+"$/);
    expect((await get('/collections/zone/items/test-garden.zone-1', { 'if-none-match': etag })).status).toBe(304);
    const page = await get('/collections/zone/items/test-garden.zone-1?f=html');
    expect(page.headers.get('etag')).not.toBe(etag);
  });

  it('answers HEAD wherever GET', async () => {
    for (const path of [
      '',
      '/api',
      '/collections',
      '/collections/zone',
      '/collections/zone/items',
      '/collections/zone/items/test-garden.zone-1',
    ]) {
      const answer = await service().request(`/ogc${path}`, { method: 'HEAD' });
      expect([answer.status, await answer.text()]).toEqual([200, '']);
    }
  });
});
