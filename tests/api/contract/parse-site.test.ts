import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parseSite, type SiteLimits } from '#api/contract/parse-site.ts';
import { siteSchema } from '#api/contract/site-schema.ts';
import { checkPlaces } from '#geo-core/index.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { ProblemList } from '#geo-core/model/problem.ts';

type ValidityCase = { readonly group: string; readonly case: string; readonly geojson: { readonly type?: unknown } };

const CASES: readonly ValidityCase[] = readFileSync(
  new URL('../../../fixtures/bad-input/validity-cases.jsonl', import.meta.url),
  'utf8',
)
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line));

/** The list holds features and bare geometries too; a site is a collection of features. */
function asSite({ case: name, geojson }: ValidityCase): unknown {
  if (/featurecollection/.test(name) || geojson.type === 'FeatureCollection') return geojson;
  const isFeature = geojson.type === 'Feature';
  const feature = isFeature ? geojson : { type: 'Feature', properties: {}, geometry: geojson };
  return { type: 'FeatureCollection', features: [feature] };
}

const point = { type: 'Point', coordinates: [10, 52] };
const feature = { type: 'Feature', properties: { kind: 'outlet' }, geometry: point };
const site = (members: object) => ({ type: 'FeatureCollection', features: [feature], ...members });

function problemsOf(json: unknown, limits?: SiteLimits) {
  const parsed = parseSite(json, { ...(limits && { limits }) });
  return 'problems' in parsed ? parsed.problems : [];
}

/** Pointers of what is wrong beside positions that are no places of one property: those a schema cannot see. */
function structureFaults(json: unknown): string[] {
  const astray = new ProblemList();
  if (isObject(json) && Array.isArray(json.features)) checkPlaces(json.features, astray);
  const places = new Set(astray.problems.map(({ pointer }) => pointer));
  return problemsOf(json).flatMap(({ pointer }) => (places.has(pointer) ? [] : [pointer]));
}
const pointersOf = (json: unknown) => problemsOf(json).map(({ pointer }) => pointer);

describe('parse site: structure', () => {
  it.each(CASES.map((one) => [one.group, one.case, one] as const))('%s: %s', (group, _name, one) => {
    const isStructural = group === 'invalid_structure' || one.case === 'invalid_incorrect_geometry_data_type';
    expect(structureFaults(asSite(one)).length > 0).toBe(isStructural);
  });

  it.each(CASES.map((one) => [one.case, one] as const))('says the same as the schema about %s', (_name, one) => {
    expect(siteSchema.safeParse(asSite(one)).success).toBe(structureFaults(asSite(one)).length === 0);
  });

  it.each([
    ['Feature', feature],
    ['Polygon', { type: 'Polygon', coordinates: [] }],
  ])('tells how to send a bare %s', (type, json) => {
    expect(problemsOf(json)[0]).toEqual({ pointer: '/type', message: expect.stringContaining(`wrap this ${type} in`) });
  });

  it.each([[null], [[]], ['site'], [7], [true]])('refuses %j, which is no object', (json) => {
    expect(pointersOf(json)).toEqual(['']);
  });

  it('says everything that is wrong at once, each with its place', () => {
    const json = {
      type: 'FeatureCollection',
      bbox: [1, 2],
      features: [
        { ...feature, id: true, geometry: { type: 'LineString', coordinates: [[1, 2], [3], ['4', 5], [6, null]] } },
        7,
        { ...feature, geometry: { type: 'MultiPolygon', coordinates: [[[[1, 2], 'x']], 5] } },
      ],
      rules: { pegSpacingM: -1 },
      quiet: [{ days: [0], from: '25:00', to: '06:00' }],
      units: 'imperial',
      locale: '-',
      prices: { currency: 'euro', items: { wire: -1 } },
    };
    expect(pointersOf(json).toSorted()).toEqual(
      [
        '/bbox',
        '/features/0/id',
        '/features/0/geometry/coordinates/1',
        '/features/0/geometry/coordinates/2/0',
        '/features/0/geometry/coordinates/3/1',
        '/features/1',
        '/features/2/geometry/coordinates/0/0/1',
        '/features/2/geometry/coordinates/1',
        '/rules/pegSpacingM',
        '/quiet/0/days/0',
        '/quiet/0/from',
        '/units',
        '/locale',
        '/prices/currency',
        '/prices/items/wire',
      ].toSorted(),
    );
  });

  it('lists a hundred problems and counts the others', () => {
    const coordinates = Array.from({ length: 5000 }, () => ['a', 'b']);
    const parsed = parseSite(site({ features: [{ ...feature, geometry: { type: 'LineString', coordinates } }] }));
    expect(parsed).toMatchObject({ more: 4900, reason: 'invalid-site' });
    expect(
      problemsOf(site({ features: [{ ...feature, geometry: { type: 'LineString', coordinates } }] })),
    ).toHaveLength(100);
  });

  it('refuses numbers too large to hold', () => {
    const geometry = JSON.parse('{"type": "Point", "coordinates": [1e400, 52]}');
    expect(problemsOf(site({ features: [{ ...feature, geometry }] }))).toEqual([
      { pointer: '/features/0/geometry/coordinates/0', message: expect.stringContaining('too large to hold') },
    ]);
  });

  it('refuses collections nested without end', () => {
    let geometry: object = point;
    for (let depth = 0; depth < 1000; depth++) geometry = { type: 'GeometryCollection', geometries: [geometry] };
    const [problem] = problemsOf(site({ features: [{ ...feature, geometry }] }));
    expect(problem.message).toContain('nested deeper than 8');
  });
});

describe('parse site: places', () => {
  const lawn = (...ring: unknown[]) => ({ ...feature, geometry: { type: 'Polygon', coordinates: [ring] } });

  it('tells structure, places, rules and members in one answer', () => {
    const json = site({
      features: [
        lawn([10, 'a'], [10.0001, 52], [10.0001, 52.0001], [10, 52]),
        lawn([10, 95], [10.0001, 52], [10.0001, 52.0001], [10, 52]),
        lawn([11, 52], [10.0001, 52], [10.0001, 52.0001], [10, 52]),
      ],
      rules: { chamferLegM: 99, colour: 'green' },
      quiet: 'always',
    });
    expect(pointersOf(json).toSorted()).toEqual(
      [
        '/features/0/geometry/coordinates/0/0/1',
        '/features/1/geometry/coordinates/0/0',
        '/features/2/geometry/coordinates/0/0',
        '/rules/chamferLegM',
        '/rules/colour',
        '/quiet',
      ].toSorted(),
    );
  });

  it('tells rules and members even where a hundred positions are wrong', () => {
    const ring = Array.from({ length: 200 }, () => [400, 400]);
    const pointers = pointersOf(site({ features: [lawn(...ring)], rules: { pegSpacingM: -1 }, units: 'ells' }));
    expect(pointers).toHaveLength(100);
    expect(pointers).toEqual(expect.arrayContaining(['/rules/pegSpacingM', '/units']));
  });

  it('sees degrees where the named system has metres', () => {
    const crs = { type: 'name', properties: { name: 'EPSG:25832' } };
    expect(problemsOf(site({ crs }))).toEqual([
      {
        pointer: '/features/0/geometry/coordinates',
        message: expect.stringMatching(/^10, 52 looks like degrees, not metres of EPSG:25832 .*Accept-Crs/),
      },
    ]);
  });

  it.each([
    [{ quiet: 'x' }, 'a list is wanted, this is the text "x"'],
    [{ units: 'imperial' }, 'one of metric, us is wanted, this is the text "imperial"'],
    [{ prices: { taxPct: 101 } }, 'a number of 100 or less is wanted, this is the number 101'],
    [{ name: 'x'.repeat(300) }, '200 characters or less are wanted, this has 300'],
    [{ quiet: [{ days: [], from: '01:00', to: '02:00' }] }, '1 entries or more are wanted, this has 0'],
    [{ quiet: [{ days: [1.5], from: '01:00', to: '02:00' }] }, 'a whole number is wanted, this is the number 1.5'],
    [{ id: null }, 'an id is text of at most 200 characters, or a number'],
  ])('says what is wrong with %j in plain words', (members, message) => {
    expect(problemsOf(site(members)).map((problem) => problem.message)).toEqual([message]);
  });
});

describe('parse site: limits', () => {
  it('refuses more features or positions than allowed, and says how many that is', () => {
    const few = { featuresMax: 2, positionsMax: 3 };
    const three = site({ features: [feature, feature, feature] });
    expect(parseSite(three, { limits: few })).toMatchObject({ reason: 'too-large' });
    expect(problemsOf(three, few)).toEqual([
      { pointer: '/features', message: '3 features are more than the 2 that one site may have' },
    ]);
    const line = {
      ...feature,
      geometry: {
        type: 'LineString',
        coordinates: [
          [1, 1],
          [2, 2],
          [3, 3],
          [4, 4],
        ],
      },
    };
    expect(problemsOf(site({ features: [line] }), few)[0].message).toMatch(/^4 positions are more than the 3 /);
    expect(problemsOf(site({ features: [feature, feature] }), few)).toEqual([]);
  });

  it('takes a lawn of 100,000 positions and refuses one of 200,000', () => {
    const ring = (count: number) => Array.from({ length: count }, (_, i) => [10 + i / 1e8, 52]);
    const lawn = (count: number) => ({ ...feature, geometry: { type: 'Polygon', coordinates: [ring(count)] } });
    expect(problemsOf(site({ features: [lawn(100_000)] }))).toEqual([]);
    expect(problemsOf(site({ features: [lawn(200_000)] }))[0].message).toMatch(/^200000 positions .* 100000 /);
  });
});

describe('parse site: what comes through', () => {
  it('hands on members, rules and elevation', () => {
    const parsed = parseSite(site({ id: 7, name: 'Orchard', rules: 'two-distance', elevation: { a: 1 }, units: 'us' }));
    expect(parsed).toMatchObject({
      site: { type: 'FeatureCollection', id: 7, name: 'Orchard', units: 'us', features: [feature] },
      rules: { name: 'two-distance' },
      elevation: { a: 1 },
    });
    expect('site' in parsed && 'elevation' in parsed.site).toBe(false);
  });

  it('takes the rule set it is told instead of the one the site asks for', () => {
    expect(parseSite(site({ rules: 'no such set' }), { rules: 'small-lawn' })).toMatchObject({
      rules: { name: 'small-lawn' },
    });
  });

  it('brings a site that names another system to longitude and latitude', () => {
    // The tower of Amersfoort, origin of the Dutch system: 155000, 463000 there, 5.38720621 E 52.15517440 N in ETRS89 (published
    // definition of the system); half a metre is a few millionths of a degree.
    const crs = { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::28992' } };
    const outlet = { ...feature, geometry: { type: 'Point', coordinates: [155_000, 463_000] } };
    const parsed = parseSite(site({ crs, features: [outlet] }));
    const geometry = 'site' in parsed ? parsed.site.features[0].geometry : null;
    const [lonDeg, latDeg] = geometry?.type === 'Point' ? geometry.coordinates : [];
    expect(lonDeg).toBeCloseTo(5.38720621, 5);
    expect(latDeg).toBeCloseTo(52.1551744, 5);
  });

  it('lets members it does not know pass', () => {
    expect(pointersOf(site({ timeStamp: 'now', links: [] }))).toEqual([]);
    expect(pointersOf(site({ features: [{ ...feature, extra: 1, properties: { deep: { er: [1] } } }] }))).toEqual([]);
  });
});
