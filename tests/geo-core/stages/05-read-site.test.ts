/* Long because every member that a site may have is read well and badly here. */
import { describe, expect, it } from 'vitest';
import { SiteError } from '#geo-core/model/problem.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput, SiteGeometryInput } from '#geo-core/model/site.ts';
import { readSite } from '#geo-core/stages/05-read-site.ts';
import { drawSite, FIELD, rectangle, siteOf } from '../../support/plane-site.ts';

const draw = drawSite();
const read = (...features: readonly SiteFeatureInput[]) => readSite(siteOf(features), RULE_SETS[0]);
const codes = (staged: ReturnType<typeof read>) => staged.findings.map(({ code }) => code);

const { originLonDeg: LON, originLatDeg: LAT } = FIELD;
/** Positions in units of 1e-4 degree from the field's corner. */
const at = (east: number, north: number): [number, number] => [LON + east / 1e4, LAT + north / 1e4];
const feature = (kind: unknown, geometry: SiteGeometryInput | null, properties: object = {}): SiteFeatureInput => ({
  type: 'Feature',
  properties: { kind, ...properties },
  geometry,
});
const polygon = (...rings: readonly (readonly (readonly number[])[])[]): SiteGeometryInput => ({
  type: 'Polygon',
  coordinates: rings,
});
const SQUARE = [at(0, 0), at(4, 0), at(4, 4), at(0, 4)];
const closed = <Position>(ring: readonly Position[]): readonly Position[] => [...ring, ring[0]];

function problemsOf(...features: readonly SiteFeatureInput[]) {
  try {
    read(...features);
  } catch (error) {
    if (error instanceof SiteError) return error;
    throw error;
  }
  throw new Error('the site was not refused');
}

describe('read site: meaning', () => {
  it('reads kinds, ids and attributes', () => {
    const staged = read(
      { ...draw.area('lawn', [rectangle(0, 0, 30, 20)]), id: 'front' },
      draw.point('tree', 5, 5, { radius: 0.4, height: 12, rigid: true }),
      draw.line(
        'edge',
        [
          [0, 0],
          [30, 0],
        ],
        { beyond: 'hedge' },
      ),
      draw.point('station', 1, 1, { heading: -90 }),
    );
    expect(staged.findings).toEqual([]);
    expect(staged.output.features).toMatchObject([
      { kind: 'lawn', id: 'front', pointer: '/features/0', shape: { type: 'area' } },
      { kind: 'tree', radiusM: 0.4, heightM: 12, rigid: true, shape: { type: 'point' } },
      { kind: 'edge', beyond: 'hedge', shape: { type: 'line' } },
      { kind: 'station', headingDeg: 270 },
    ]);
  });

  it('keeps what the site says about itself and fills in what it does not', () => {
    expect(readSite({ type: 'FeatureCollection', features: [] }, RULE_SETS[0]).output).toEqual({
      features: [],
      prices: {},
      quiet: [],
      units: 'metric',
      locale: 'en',
    });
    const members = { id: 7, name: 'Orchard', units: 'us', locale: 'de-CH', prices: { currency: 'EUR' } } as const;
    expect(readSite({ type: 'FeatureCollection', features: [], ...members }, RULE_SETS[0]).output).toMatchObject(
      members,
    );
  });

  it('passes over features of unknown kinds, one note for each kind', () => {
    const lawn = draw.area('lawn', [rectangle(0, 0, 9, 9)]);
    const staged = read(
      feature('gnome', null),
      lawn,
      feature('gnome', null),
      feature(undefined, null),
      feature(3, null),
    );
    expect(staged.output.features).toHaveLength(1);
    expect(staged.findings).toMatchObject([
      { code: 'read-site.unknown-kind', severity: 'note', subject: '/features/0', value: 2 },
      { code: 'read-site.unknown-kind', severity: 'note', subject: '/features/3', value: 2 },
    ]);
    expect(staged.findings[0].message).toContain('"gnome"');
  });

  it('passes over geometry that does not suit the kind and says what would', () => {
    const staged = read(
      draw.point('lawn', 0, 0),
      draw.area('edge', [rectangle(0, 0, 5, 5)], { beyond: 'wall' }),
      draw.area('outlet', [rectangle(0, 0, 1, 1)]),
    );
    expect(staged.output.features).toEqual([]);
    expect(staged.findings).toMatchObject([
      {
        code: 'read-site.wrong-geometry',
        severity: 'caution',
        subject: '/features/0',
        advice: 'Give the lawn as a Polygon.',
      },
      { code: 'read-site.wrong-geometry', subject: '/features/1' },
      { code: 'read-site.wrong-geometry', subject: '/features/2' },
    ]);
  });

  it('passes over what has no geometry', () => {
    const empties: SiteGeometryInput[] = [
      polygon(),
      { type: 'MultiPolygon', coordinates: [] },
      { type: 'GeometryCollection', geometries: [] },
      { type: 'Point', coordinates: [] },
    ];
    const staged = read(feature('tree', null), ...empties.slice(0, 3).map((empty) => feature('tree', empty)));
    expect(staged.output.features).toEqual([]);
    expect(codes(staged)).toEqual(Array(4).fill('read-site.no-geometry'));
  });

  it('assumes sizes that are missing, and says which', () => {
    const way = [
      [0, 0],
      [9, 0],
    ] as const;
    const staged = read(
      draw.point('tree', 0, 0),
      draw.point('sprinkler', 3, 0),
      draw.line('road', way),
      draw.line('crossing', way),
      draw.line('water', way),
      draw.line('water', way, { width: 1.5 }),
    );
    expect(staged.output.features).toMatchObject([
      { kind: 'tree', radiusM: 0.3 },
      { kind: 'sprinkler', radiusM: 5 },
      { kind: 'road', widthM: 4 },
      { kind: 'crossing', widthM: 1.2 },
      { kind: 'water', widthM: 1.5, pointer: '/features/5' },
    ]);
    expect(codes(staged)).toEqual([
      'read-site.assumed-radius',
      'read-site.assumed-radius',
      'read-site.assumed-width',
      'read-site.assumed-width',
      'read-site.no-width',
    ]);
  });

  it.each([
    ['height', 'tall'],
    ['height', -1],
    ['height', 1e308],
    ['radius', 0],
    ['radius', '0.4'],
    ['width', [1]],
    ['rigid', 'yes'],
  ])('passes over %s = %j with its place, and reads the rest', (member, value) => {
    const staged = read(draw.area('obstacle', [rectangle(0, 0, 1, 1)], { [member]: value }));
    expect(staged.output.features).toHaveLength(1);
    expect(staged.findings).toMatchObject([
      { code: 'read-site.bad-attribute', severity: 'caution', subject: `/features/0/properties/${member}` },
    ]);
  });

  it('takes null attributes as not given', () => {
    const nulls = { height: null, rigid: null, radius: null, width: null };
    expect(read(draw.area('obstacle', [rectangle(0, 0, 1, 1)], nulls)).findings).toEqual([]);
  });

  it('keeps an edge that does not say what lies beyond, without a meaning', () => {
    const line = [
      [0, 0],
      [5, 0],
    ] as const;
    const staged = read(draw.line('edge', line), draw.line('edge', line, { beyond: 'canal' }));
    expect(staged.output.features.map(({ beyond }) => beyond)).toEqual([undefined, undefined]);
    expect(staged.findings.map(({ message }) => message)).toEqual([
      expect.stringMatching(
        /^The beyond of the edge should be one of level-paving, .*road; it is not given and was passed over\.$/,
      ),
      expect.stringContaining('"canal"'),
    ]);
  });

  it('uses the first of several stations', () => {
    const staged = read(
      draw.point('station', 0, 0),
      draw.point('tree', 9, 9, { radius: 1 }),
      draw.point('station', 5, 0),
    );
    expect(staged.output.features.map(({ kind, pointer }) => [kind, pointer])).toEqual([
      ['station', '/features/0'],
      ['tree', '/features/1'],
    ]);
    expect(staged.findings).toMatchObject([{ code: 'read-site.several-stations', value: 2, subject: '/features/0' }]);
    const many = read(feature('station', { type: 'MultiPoint', coordinates: [at(0, 0), at(1, 1)] }));
    expect(many.output.features[0].shape).toEqual({ type: 'point', points: [at(0, 0)] });
  });
});

describe('read site: mending', () => {
  it('leaves a good ring as it is, without its closing position and altitudes', () => {
    const ring = closed(SQUARE).map(([lon, lat]) => [lon, lat, 512.5]);
    const staged = read(feature('lawn', polygon(ring)));
    expect(staged.output.features[0].shape).toEqual({ type: 'area', polygons: [[SQUARE]] });
    expect(staged.findings).toEqual([]);
  });

  it('closes an open ring and says so', () => {
    const staged = read(feature('lawn', polygon(SQUARE)));
    expect(staged.output.features[0].shape).toEqual({ type: 'area', polygons: [[SQUARE]] });
    expect(staged.findings).toMatchObject([{ code: 'read-site.ring-closed', severity: 'caution', value: 1 }]);
  });

  it('drops repeated positions and counts them', () => {
    const [a, b, c, d] = SQUARE;
    const staged = read(feature('lawn', polygon([a, a, b, c, c, c, d, a, a])));
    expect(staged.output.features[0].shape).toEqual({ type: 'area', polygons: [[SQUARE]] });
    expect(staged.findings).toMatchObject([{ code: 'read-site.repeated-positions', severity: 'note', value: 4 }]);
  });

  it('turns rings that run the wrong way, with one note for the whole site', () => {
    const hole = [at(1, 1), at(2, 1), at(2, 2), at(1, 2)];
    const wrong = feature('lawn', polygon(closed(SQUARE.toReversed()), closed(hole)));
    const staged = read(wrong, wrong);
    expect(staged.output.features[0].shape).toEqual({
      type: 'area',
      polygons: [[SQUARE, hole.toReversed()]],
    });
    expect(staged.findings).toMatchObject([{ code: 'read-site.ring-order', severity: 'note', value: 4 }]);
  });

  it('drops rings and lines with nothing in them, keeps the rest', () => {
    const [a, b] = SQUARE;
    const staged = read(
      feature('lawn', { type: 'MultiPolygon', coordinates: [[[a, b, a]], [closed(SQUARE), [a, b, a, b]]] }),
      feature(
        'edge',
        {
          type: 'MultiLineString',
          coordinates: [
            [a, a],
            [a, b],
          ],
        },
        { beyond: 'wall' },
      ),
    );
    expect(staged.output.features.map(({ shape }) => shape)).toEqual([
      { type: 'area', polygons: [[SQUARE]] },
      { type: 'line', lines: [[a, b]] },
    ]);
    expect(staged.findings).toMatchObject([
      { code: 'read-site.ring-dropped', value: 2, subject: '/features/0' },
      { code: 'read-site.repeated-positions', subject: '/features/1' },
      { code: 'read-site.line-dropped', value: 1, subject: '/features/1' },
    ]);
  });

  it('drops a polygon whose outer ring is nothing, hole and all', () => {
    const staged = read(feature('lawn', polygon([SQUARE[0], SQUARE[1]], closed(SQUARE))));
    expect(staged.output.features).toEqual([]);
    expect(codes(staged)).toEqual(['read-site.ring-dropped']);
  });

  it('flattens collections, each type of geometry a feature of its own with the same pointer', () => {
    const staged = read(
      feature(
        'tree',
        {
          type: 'GeometryCollection',
          geometries: [
            polygon(closed(SQUARE)),
            { type: 'GeometryCollection', geometries: [{ type: 'Point', coordinates: at(9, 9) }] },
            { type: 'MultiPoint', coordinates: [at(7, 7), at(8, 8)] },
          ],
        },
        { radius: 0.5 },
      ),
    );
    expect(staged.output.features).toMatchObject([
      { pointer: '/features/0', shape: { type: 'area', polygons: [[SQUARE]] } },
      { pointer: '/features/0', shape: { type: 'point', points: [at(9, 9), at(7, 7), at(8, 8)] } },
    ]);
  });

  it('folds longitudes a little over 180 degrees, so that a site across the meridian holds together', () => {
    const ring = [
      [179.999, -17],
      [180.001, -17],
      [180.001, -16.999],
      [179.999, -16.999],
    ];
    const staged = read(feature('lawn', polygon(closed(ring))));
    expect(staged.findings).toEqual([]);
    expect(staged.output.features[0].shape).toEqual({
      type: 'area',
      polygons: [
        [
          [
            [179.999, -17],
            [180.001 - 360, -17],
            [180.001 - 360, -16.999],
            [179.999, -16.999],
          ],
        ],
      ],
    });
  });

  it('does not change its input', () => {
    const features = [
      feature('lawn', polygon(SQUARE.toReversed())),
      draw.point('station', 0, 0),
      draw.point('station', 1, 0),
    ];
    const before = structuredClone(features);
    read(...features);
    expect(features).toEqual(before);
  });
});

describe('read site: places', () => {
  it('refuses latitudes beyond 90 and longitudes beyond 180 degrees, all at once', () => {
    const error = problemsOf(
      feature('lawn', polygon([at(0, 0), [LON, 95], at(4, 4)])),
      feature('tree', { type: 'Point', coordinates: [190.5, 10] }),
    );
    expect(error.problems).toEqual([
      { pointer: '/features/0/geometry/coordinates/0/1', message: expect.stringContaining('latitude 95') },
      {
        pointer: '/features/1/geometry/coordinates',
        message: expect.stringContaining('longitude 190.5 is beyond 180'),
      },
    ]);
    expect(error.more).toBe(0);
  });

  it('sees metres where degrees should be, and says how to send them', () => {
    const error = problemsOf(
      feature(
        'lawn',
        polygon([
          [84808, 447641],
          [84818, 447641],
          [84818, 447651],
        ]),
      ),
    );
    expect(error.problems).toHaveLength(3);
    expect(error.problems[0]).toEqual({
      pointer: '/features/0/geometry/coordinates/0/0',
      message: expect.stringMatching(/^84808, 447641 looks like metres .*crs=EPSG:28992/),
    });
  });

  it('sees latitude before longitude where it can', () => {
    const error = problemsOf(feature('tree', { type: 'Point', coordinates: [39.97, -105.25] }));
    expect(error.problems[0].message).toContain('latitude before longitude');
  });

  it('lists a hundred problems and counts the others', () => {
    const ring = Array.from({ length: 250 }, (_, i) => [400 + i, 400]);
    const error = problemsOf(feature('lawn', polygon(ring)));
    expect(error.problems).toHaveLength(100);
    expect(error.more).toBe(150);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, 1e308])('refuses the coordinate %d', (value) => {
    const error = problemsOf(feature('tree', { type: 'Point', coordinates: [value, LAT] }));
    expect(error.problems[0].pointer).toBe('/features/0/geometry/coordinates');
  });

  it('refuses a site that spans more than ten kilometres, and names what lies astray', () => {
    const error = problemsOf(
      feature('lawn', polygon(closed(SQUARE))),
      feature('tree', { type: 'Point', coordinates: [0, 0] }),
    );
    expect(error.problems).toEqual([
      {
        pointer: '/features/1/geometry/coordinates',
        message: expect.stringMatching(/^0, 0 lies \d+\.\d km from the middle/),
      },
    ]);
  });

  it('holds a site on the 180th meridian for one place', () => {
    const west = { originLonDeg: 179.9999, originLatDeg: -17 };
    expect(read(drawSite(west).area('lawn', [rectangle(-20, 0, 60, 20)])).findings).toEqual([]);
  });
});
