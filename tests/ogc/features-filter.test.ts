import { beforeAll, describe, expect, it } from 'vitest';
import { COLLECTIONS } from '#api/collections/collections.ts';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';

/** OGC 19-079r2, OGC API - Features - Part 3: Filtering, with CQL2; schemas by OGC 23-058. */
const service = useKeptService();
const get = (path: string) => service().request(`/ogc${path}`);
const json = async (path: string) => (await get(path)).json();
const count = async (filter: string, more = '') =>
  (await json(`/collections/peg/items?filter=${encodeURIComponent(filter)}${more}`)).numberMatched;

let pegCount = 0;

beforeAll(async () => {
  pegCount = await service().pegCount(await service().addSite(garden()));
});

describe('queryables', () => {
  it.each(COLLECTIONS.map(({ id }) => id))(
    '/req/queryables/get-queryables-response: of %s are a JSON Schema',
    async (id) => {
      const { links } = await json(`/collections/${id}`);
      const link = links.find(
        ({ rel }: { rel: string }) => rel === 'http://www.opengis.net/def/rel/ogc/1.0/queryables',
      );
      const answer = await service().request(link.href);
      expect(answer.headers.get('content-type')).toBe('application/schema+json');
      const schema = await answer.json();
      expect(schema).toMatchObject({
        $schema: 'https://json-schema.org/draft/2020-12/schema',
        $id: `${BASE}/ogc/collections/${id}/queryables`,
        type: 'object',
        additionalProperties: false,
      });
      const { geometry, ...scalars } = schema.properties;
      expect(geometry).not.toHaveProperty('type');
      expect(geometry.format).toMatch(/^geometry-/);
      for (const scalar of Object.values(scalars)) expect(scalar).toHaveProperty('type');
    },
  );

  it.each(['peg', 'site-areas'])('schemas of %s tell roles and units', async (id) => {
    const { properties, $id } = await json(`/collections/${id}/schema`);
    expect($id).toBe(`${BASE}/ogc/collections/${id}/schema`);
    expect(properties.id['x-ogc-role']).toBe('id');
    expect(properties.geometry['x-ogc-role']).toBe('primary-geometry');
    const units = Object.values(properties).filter(
      (schema) => typeof schema === 'object' && schema !== null && 'x-ogc-unit' in schema,
    );
    expect(units.length).toBeGreaterThan(0);
  });
});

describe('filters', () => {
  it('/req/filter/mixing-expressions: are joined with box, time and properties', async () => {
    const near = await count('chainageM < 20');
    expect(near).toBeGreaterThan(3);
    expect(await count("chainageM < 20 AND pass = 'trial'")).toBe(await count('chainageM < 20', '&pass=trial'));
    expect(await count('chainageM < 20', '&bbox=0,0,1,1')).toBe(0);
    expect(await count('chainageM < 20', '&datetime=2999-01-01T00:00:00Z/..')).toBe(0);
    expect(await count('true')).toBe(pegCount);
    expect(await count('false')).toBe(0);
  });

  it('come as what desktop clients send', async () => {
    const trial = await count("pass = 'trial'");
    for (const filter of [
      "((chainageM >= 0) AND (pass LIKE 'tri%'))",
      '"pass" = \'trial\'',
      "(CASEI(pass) LIKE CASEI('TRIAL'))",
      "pass IN ('trial','x')",
    ]) {
      expect(await count(filter, '&filter-lang=cql2-text')).toBe(trial);
    }
    const plus = await json('/collections/peg/items?filter=signalUnit+%3D+1');
    expect(plus.numberMatched).toBe(pegCount);
  });

  it('/req/filter/filter-lang-param: come in JSON too', async () => {
    const filter = JSON.stringify({ op: '<', args: [{ property: 'chainageM' }, 20] });
    expect(await count(filter, '&filter-lang=cql2-json')).toBe(await count('chainageM < 20'));
  });

  it('/req/filter/filter-crs-param: take geometries in the system that filter-crs names, by the order of its axes', async () => {
    const uri = encodeURIComponent('http://www.opengis.net/def/crs/EPSG/0/4326');
    const all = await count('S_INTERSECTS(geometry,BBOX(10.4,52.2,10.6,52.3))');
    expect(all).toBe(pegCount);
    expect(await count('S_INTERSECTS(geometry,BBOX(52.2,10.4,52.3,10.6))', `&filter-crs=${uri}`)).toBe(pegCount);
    expect(await count('S_INTERSECTS(geometry,BBOX(10.4,52.2,10.6,52.3))', `&filter-crs=${uri}`)).toBe(0);
  });

  it('/req/filter/expression-construction: pages of what passes lose and repeat none', async () => {
    const filter = encodeURIComponent("pass = 'final'");
    let path: string | undefined = `${BASE}/ogc/collections/peg/items?limit=9&filter=${filter}`;
    const seen: string[] = [];
    while (path !== undefined && seen.length < 500) {
      const page: { features: { id: string }[]; links: { rel: string; href: string }[] } = await (
        await service().request(path)
      ).json();
      seen.push(...page.features.map(({ id }) => id));
      path = page.links.find(({ rel }) => rel === 'next')?.href;
    }
    expect(new Set(seen).size).toBe(seen.length);
    expect(seen.length).toBe(await count("pass = 'final'"));
  });

  it.each([
    'nobody = 1',
    'chainageM >',
    'S_INTERSECTS(geometry,POINT(90 180))',
    'chainageM < 20&filter-lang=sql',
    'FOO(pass)',
  ])('/req/filter/response: refuses %s', async (filter) => {
    const [text, ...more] = filter.split('&');
    const answer = await get(
      `/collections/peg/items?filter=${encodeURIComponent(text)}${more.map((part) => `&${part}`).join('')}`,
    );
    expect(answer.status).toBe(400);
  });
});
