import { deflateSync, gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { planSchema } from '#api/contract/plan-schema.ts';
import { FILE_FORMATS } from '#api/formats/file-formats.ts';
import { crsByEpsg, crsConverter, FORMATS } from '#geo-core/index.ts';
import { garden } from '../../support/garden.ts';
import { useService } from '../../support/test-app.ts';

const service = useService();
const plan: ReturnType<typeof service>['plan'] = (...args) => service().plan(...args);
const utf8 = (value: unknown) => new TextEncoder().encode(JSON.stringify(value));

const SYSTEM = 25832;
function converterOf(epsg: number) {
  const crs = crsByEpsg(epsg);
  if (crs === undefined) throw new Error(`no system ${epsg}`);
  return crsConverter(crs);
}

/** The garden with all its positions turned by `convert`. */
function turned(convert: (position: readonly number[]) => readonly number[]) {
  const site = garden();
  const turn = (coordinates: unknown): unknown =>
    Array.isArray(coordinates) && typeof coordinates[0] === 'number'
      ? convert(coordinates)
      : Array.isArray(coordinates)
        ? coordinates.map(turn)
        : coordinates;
  const features = site.features.map((feature) => ({
    ...feature,
    geometry:
      feature.geometry !== null && 'coordinates' in feature.geometry
        ? { ...feature.geometry, coordinates: turn(feature.geometry.coordinates) }
        : feature.geometry,
  }));
  return { ...site, features };
}

describe('POST /plan', () => {
  it('answers a site with its plan, as the schema says', async () => {
    const answer = await plan(garden());
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'application/geo+json']);
    expect(answer.headers.get('content-crs')).toBe('<http://www.opengis.net/def/crs/OGC/1.3/CRS84>');
    const body = planSchema.parse(await answer.json());
    expect(body).toMatchObject({ id: 'test-garden', name: 'Test garden', audit: { passed: true } });
    expect(body.summary.lawnAreaM2).toBeCloseTo(300, 3);
    expect(body.features.some(({ properties }) => properties.kind === 'route')).toBe(true);
  });

  it('answers the same twice, to the byte', async () => {
    expect(await (await plan(garden())).text()).toBe(await (await plan(garden())).text());
  });

  it('sends back only the kinds asked for, figures as ever', async () => {
    const all = await (await plan(garden())).json();
    const some = await (await plan(garden(), '?include=route,station')).json();
    expect(new Set(some.features.map((feature: { properties: { kind: string } }) => feature.properties.kind))).toEqual(
      new Set(['route', 'station']),
    );
    expect(some.summary).toEqual(all.summary);
  });

  it('adds feet and acres where they are asked for, by the request or by the site', async () => {
    const { units, summary, summaryUs } = await (await plan(garden(), '?units=us')).json();
    expect(units).toBe('us');
    expect(summaryUs.lawnAreaFt2).toBeCloseTo(summary.lawnAreaM2 / 0.09290304, 1);
    expect(summaryUs.lawnAreaAcre).toBeCloseTo(summary.lawnAreaM2 / 4046.8564224, 4);
    expect(summaryUs.routeLengthFt).toBeCloseTo(summary.routeLengthM / 0.3048, 2);
    expect((await (await plan({ ...garden(), units: 'us' })).json()).summaryUs).toEqual(summaryUs);
    expect(await (await plan({ ...garden(), units: 'us' }, '?units=metric')).json()).not.toHaveProperty('summaryUs');
  });

  it('takes a rule set by parameter instead of the one the site names', async () => {
    const { rules } = await (await plan({ ...garden(), rules: 'default' }, '?rules=two-distance')).json();
    expect(rules.name).toBe('two-distance');
  });

  it.each([
    ['gzip', gzipSync],
    ['deflate', deflateSync],
    ['x-gzip', gzipSync],
  ])('reads bodies in %s', async (encoding, pack) => {
    const answer = await plan(pack(utf8(garden())), '', { 'content-encoding': encoding });
    expect(answer.status).toBe(200);
  });

  it('packs its answer where that is accepted', async () => {
    const answer = await plan(garden(), '', { 'accept-encoding': 'gzip' });
    expect(answer.headers.get('content-encoding')).toBe('gzip');
    const unpacked = await new Response(answer.body?.pipeThrough(new DecompressionStream('gzip'))).json();
    expect(unpacked.id).toBe('test-garden');
  });

  it.each(FORMATS.map(({ id, mediaType }) => [id, mediaType] as const))(
    'writes %s by parameter and by Accept',
    async (id, mediaType) => {
      const byParameter = await plan(garden(), `?f=${id}`);
      expect([byParameter.status, byParameter.headers.get('content-type')]).toEqual([200, mediaType]);
      const byAccept = await plan(garden(), '', { accept: mediaType.split(';')[0] });
      expect(byAccept.headers.get('content-type')).toBe(mediaType);
      expect(new Uint8Array(await byAccept.arrayBuffer())).toEqual(new Uint8Array(await byParameter.arrayBuffer()));
    },
  );

  it('writes what takes more than the plan by parameter, or says what is missing', async () => {
    const files = FILE_FORMATS.filter((format) => !FORMATS.some(({ id }) => id === format.id));
    expect(files.map(({ id }) => id)).toEqual(['gpkg', 'png', 'slope-tif', 'field-tif']);
    for (const { id, mediaType } of files) {
      const answer = await plan(garden(), `?f=${id}&width=300&include=station`);
      if (id === 'slope-tif') {
        expect(answer.status).toBe(422);
        expect(await answer.json()).toMatchObject({
          type: '/problems/nothing-to-write',
          detail: expect.stringContaining('elevation'),
        });
      } else expect([answer.status, answer.headers.get('content-type')]).toEqual([200, mediaType]);
    }
  });

  it.each(['application/json', '*/*', 'text/html, application/*;q=0.5'])(
    'answers Accept %s with GeoJSON',
    async (accept) => {
      expect((await plan(garden(), '', { accept })).headers.get('content-type')).toBe('application/geo+json');
    },
  );

  it('answers 406 where no format suits', async () => {
    const answer = await plan(garden(), '', { accept: 'audio/ogg' });
    expect(answer.status).toBe(406);
    expect((await answer.json()).detail).toContain('application/geo+json');
  });

  it.each([
    ['?include=moon', 'working-area, route'],
    ['?include=', 'working-area, route'],
    ['?units=cubits', 'metric, us'],
    ['?rules=fancy', 'default, two-distance, small-lawn, large-lawn'],
    ['?f=wav', 'geojson'],
    ['?f=png&width=1', 'pixels from 100 to 6000'],
    ['?f=png&width=1e9', 'pixels from 100 to 6000'],
    ['?crs=EPSG:1', 'EPSG:<code>'],
    ['?crs=', 'EPSG:<code>'],
    ['?colour=green', 'include, rules, units, crs, f'],
  ])('refuses %s and names what is known', async (query, known) => {
    const answer = await plan(garden(), query);
    expect(answer.status).toBe(400);
    expect((await answer.json()).detail).toContain(known);
  });
});

describe('POST /plan in other coordinate systems', () => {
  const toSystem = ([lonDeg, latDeg]: readonly number[]) => {
    const { x, y } = converterOf(SYSTEM).fromLonLat(lonDeg, latDeg);
    return [x, y];
  };

  it('answers in kind', async () => {
    const answer = await plan(turned(toSystem), `?crs=EPSG:${SYSTEM}`);
    expect(answer.headers.get('content-crs')).toBe(`<EPSG:${SYSTEM}>`);
    const body = await answer.json();
    expect(body.crs.properties.name).toBe(`urn:ogc:def:crs:EPSG::${SYSTEM}`);
    expect(body.summary.lawnAreaM2).toBeCloseTo(300, 3);
    const degrees = await (await plan(garden(), '?include=station')).json();
    const station = body.features.find((feature: { id: string }) => feature.id === 'station-1');
    const [x, y] = toSystem(degrees.features[0].geometry.coordinates);
    expect(station.geometry.coordinates[0]).toBeCloseTo(x, 2);
    expect(station.geometry.coordinates[1]).toBeCloseTo(y, 2);
  });

  it('takes the two directions apart: Content-Crs in, Accept-Crs out', async () => {
    const came = await plan(turned(toSystem), '?include=station', { 'content-crs': `<EPSG:${SYSTEM}>` });
    const [lonDeg, latDeg] = (await came.json()).features[0].geometry.coordinates;
    expect(lonDeg).toBeCloseTo(10.5, 2);
    expect(latDeg).toBeCloseTo(52.25, 2);
    const goes = await plan(garden(), '?include=station', { 'accept-crs': `EPSG:${SYSTEM}` });
    expect((await goes.json()).features[0].geometry.coordinates[1]).toBeGreaterThan(5_000_000);
  });

  it('keeps the order of axes of the authority under its URI', async () => {
    const uri = 'http://www.opengis.net/def/crs/EPSG/0/4326';
    const answer = await plan(
      turned(([lonDeg, latDeg]) => [latDeg, lonDeg]),
      '?include=station',
      {
        'content-crs': `<${uri}>`,
        'accept-crs': uri,
      },
    );
    expect(answer.headers.get('content-crs')).toBe(`<${uri}>`);
    expect((await answer.json()).features[0].geometry.coordinates[0]).toBeCloseTo(52.25, 2);
  });

  it('understands the crs member that GeoJSON once had', async () => {
    const crs = { type: 'name', properties: { name: `urn:ogc:def:crs:EPSG::${SYSTEM}` } };
    const { summary } = await (await plan({ ...turned(toSystem), crs })).json();
    expect(summary.lawnAreaM2).toBeCloseTo(300, 3);
    const unknown = await plan({ ...garden(), crs: { type: 'name', properties: { name: 'EPSG:1' } } });
    expect([unknown.status, (await unknown.json()).errors[0].pointer]).toEqual([422, '/crs']);
  });

  it('says so when degrees come as metres', async () => {
    const answer = await plan(garden(), `?crs=EPSG:${SYSTEM}`);
    expect(answer.status).toBe(422);
    expect((await answer.json()).errors[0].detail).toContain('looks like degrees');
  });

  it('says how to send metres when they come as degrees', async () => {
    const answer = await plan(turned(toSystem));
    expect(answer.status).toBe(422);
    const { errors } = await answer.json();
    expect(errors[0]).toEqual({
      pointer: '/features/0/geometry/coordinates/0/0',
      detail: expect.stringContaining('crs=EPSG:28992'),
    });
  });

  it('names the positions that are no places in the system', async () => {
    const answer = await plan(
      turned(() => [1e30, 1e30]),
      `?crs=EPSG:${SYSTEM}`,
    );
    expect(answer.status).toBe(422);
    expect((await answer.json()).errors[0].pointer).toBe('/features/0/geometry/coordinates/0/0');
  });
});

describe('POST /plan with elevation', () => {
  /** Ground that rises to the north: `slope` metres a metre. */
  function coverage(slope: number) {
    const { x, y } = converterOf(SYSTEM).fromLonLat(10.5, 52.25);
    const axis = (middle: number) => ({ start: Math.round(middle) - 40, stop: Math.round(middle) + 40, num: 81 });
    const values = Array.from({ length: 81 * 81 }, (_, i) => 100 + slope * Math.floor(i / 81));
    return {
      type: 'Coverage',
      domain: {
        type: 'Domain',
        domainType: 'Grid',
        axes: { x: axis(x), y: axis(y) },
        referencing: [
          {
            coordinates: ['x', 'y'],
            system: { type: 'ProjectedCRS', id: `http://www.opengis.net/def/crs/EPSG/0/${SYSTEM}` },
          },
        ],
      },
      ranges: { height: { type: 'NdArray', dataType: 'float', axisNames: ['y', 'x'], shape: [81, 81], values } },
    };
  }

  /** The same as an ESRI ASCII grid, which does not name its system. */
  function asciiGrid(slope: number): string {
    const { x, y } = converterOf(SYSTEM).fromLonLat(10.5, 52.25);
    const rows = Array.from({ length: 81 }, (_, row) =>
      Array(81)
        .fill((100 + slope * (80 - row)).toFixed(4))
        .join(' '),
    );
    const head = `ncols 81\nnrows 81\nxllcenter ${Math.round(x) - 40}\nyllcenter ${Math.round(y) - 40}\ncellsize 1\n`;
    return head + rows.join('\n');
  }

  function parts(entries: Readonly<Record<string, string | File>>): Promise<Response> {
    const form = new FormData();
    for (const [name, value] of Object.entries(entries)) form.set(name, value);
    return service().request('/plan', { method: 'POST', body: form });
  }
  const siteText = JSON.stringify(garden());
  const grid = () => new File([asciiGrid(0.2)], 'ground.asc');

  it('reads a grid inside the site', async () => {
    const { summary } = await (await plan({ ...garden(), elevation: coverage(0.12) })).json();
    expect(summary.maxSlopePct).toBeCloseTo(12, 0);
  });

  it('reads a grid file beside the site', async () => {
    const answer = await parts({ site: siteText, elevation: grid(), elevationEpsg: String(SYSTEM) });
    expect((await answer.json()).summary.maxSlopePct).toBeCloseTo(20, 0);
    const asFile = await parts({
      site: new File([siteText], 'site.geojson'),
      elevation: grid(),
      elevationEpsg: `EPSG:${SYSTEM}`,
    });
    expect(asFile.status).toBe(200);
  });

  it.each([
    ['a grid that names no system', () => ({ site: siteText, elevation: grid() }), 422],
    ['a system that is not known', () => ({ site: siteText, elevation: grid(), elevationEpsg: '1' }), 400],
    ['a grid that is none', () => ({ site: siteText, elevation: new File(['not a grid'], 'a.tif') }), 422],
    ['a grid as text', () => ({ site: siteText, elevation: 'ncols 3' }), 400],
    ['no site', () => ({ elevation: grid() }), 400],
    ['a part that is not known', () => ({ site: siteText, prices: 'x' }), 400],
  ])('refuses %s and says what to do', async (_what, entries, status) => {
    const answer = await parts(entries());
    expect(answer.status).toBe(status);
    expect((await answer.json()).detail.length).toBeGreaterThan(20);
  });

  it('tells what is wrong with the site and with the grid inside it at once', async () => {
    const answer = await plan({ ...garden(), elevation: { type: 'Coverage' }, rules: { pegSpacingM: 99 } });
    expect(answer.status).toBe(422);
    const pointers = (await answer.json()).errors.map(({ pointer }: { pointer: string }) => pointer);
    expect(pointers).toEqual(['/elevation', '/rules/pegSpacingM']);
  });

  it('points at the inline grid that it cannot read', async () => {
    const answer = await plan({ ...garden(), elevation: { type: 'Coverage' } });
    expect(answer.status).toBe(422);
    expect((await answer.json()).errors).toEqual([
      { pointer: '/elevation', detail: expect.stringContaining('CoverageJSON') },
    ]);
  });
});
