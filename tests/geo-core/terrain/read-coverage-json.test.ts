import { describe, expect, it } from 'vitest';
import { readCoverageJson } from '#geo-core/terrain/read-coverage-json.ts';
import { TerrainError } from '#geo-core/terrain/terrain-error.ts';

/** Two rows of three cells, 10 m, north row 1 2 3. */
const coverage = {
  type: 'Coverage',
  domain: {
    type: 'Domain',
    domainType: 'Grid',
    axes: {
      x: { start: 500_005, stop: 500_025, num: 3 },
      y: { values: [5_000_025, 5_000_015] },
      t: { values: ['2026-05-01'] },
    },
    referencing: [
      {
        coordinates: ['x', 'y'],
        system: { type: 'ProjectedCRS', id: 'http://www.opengis.net/def/crs/EPSG/0/25832' },
      },
    ],
  },
  parameters: { height: { type: 'Parameter', observedProperty: { label: { en: 'ground height' } } } },
  ranges: {
    height: {
      type: 'NdArray',
      dataType: 'float',
      axisNames: ['t', 'y', 'x'],
      shape: [1, 2, 3],
      values: [1, 2, 3, 4, null, 6],
    },
  },
};
type Coverage = typeof coverage;

function variant(change: (copy: Coverage) => unknown): unknown {
  const copy = structuredClone(coverage);
  change(copy);
  return copy;
}

function refusal(json: unknown, maxCells?: number): TerrainError {
  try {
    readCoverageJson(json, 'inline', maxCells);
  } catch (error) {
    expect(error).toBeInstanceOf(TerrainError);
    return error as TerrainError;
  }
  return expect.fail('the grid was read');
}

describe('a CoverageJSON grid', () => {
  const grid = readCoverageJson(coverage);

  it('has its cells at the axis coordinates, north on top, null as NaN', () => {
    expect(grid).toMatchObject({
      epsg: 25_832,
      columns: 3,
      rows: 2,
      firstCentreX: 500_005,
      firstCentreY: 5_000_025,
      cellX: 10,
      cellY: 10,
      source: 'inline',
    });
    expect([...grid.heightsM]).toEqual([1, 2, 3, 4, Number.NaN, 6]);
  });

  it('means the same with axes that run the other way', () => {
    const turned = variant((copy) => {
      copy.domain.axes.x = { start: 500_025, stop: 500_005, num: 3 };
      copy.domain.axes.y = { values: [5_000_015, 5_000_025] };
      copy.ranges.height.values = [6, null, 4, 3, 2, 1];
    });
    expect(readCoverageJson(turned)).toEqual(grid);
  });

  it('means the same with values that run column by column', () => {
    const byColumn = variant((copy) => {
      copy.ranges.height.axisNames = ['x', 'y'];
      copy.ranges.height.shape = [3, 2];
      copy.ranges.height.values = [1, 4, 2, null, 3, 6];
    });
    expect(readCoverageJson(byColumn)).toEqual(grid);
  });

  it.each([
    ['http://www.opengis.net/def/crs/OGC/1.3/CRS84', 4326],
    ['http://www.opengis.net/def/crs/EPSG/9.8.1/4326', 4326],
    ['https://www.opengis.net/def/crs/EPSG/0/28992', 28_992],
    ['urn:ogc:def:crs:EPSG::2154', 2154],
    ['EPSG:3006', 3006],
  ])('takes its system from %s', (id, epsg) => {
    const json = variant((copy) => {
      copy.domain.referencing[0].system.id = id;
      if (epsg !== 4326) return;
      copy.domain.axes.x = { start: 10, stop: 10.0002, num: 3 };
      copy.domain.axes.y = { values: [50.0001, 50] };
    });
    expect(readCoverageJson(json).epsg).toBe(epsg);
  });

  it('bears coordinates rounded in their list', () => {
    const rounded = variant((copy) => {
      copy.domain.axes.y = { values: [5_000_025.03, 5_000_015.01] };
    });
    expect(readCoverageJson(rounded).cellY).toBeCloseTo(10.02, 6);
  });
});

describe('a CoverageJSON that is not read', () => {
  it.each([
    ['no coverage', { type: 'FeatureCollection' }, 'bad-header', '/type'],
    ['null', null, 'bad-header', ''],
    [
      'another domain',
      variant((copy) => Object.assign(copy.domain, { domainType: 'PointSeries' })),
      'bad-header',
      '/domain/domainType',
    ],
    [
      'uneven spacing',
      variant((copy) => Object.assign(copy.domain.axes, { x: { values: [0, 1, 3] } })),
      'bad-header',
      '/domain/axes/x',
    ],
    [
      'a single column',
      variant((copy) => Object.assign(copy.domain.axes, { x: { values: [5] } })),
      'bad-header',
      '/domain/axes/x',
    ],
    [
      'several times',
      variant((copy) => Object.assign(copy.domain.axes.t, { values: ['2025-05-01', '2026-05-01'] })),
      'bad-header',
      '/domain/axes/t',
    ],
    [
      'values that do not fit',
      variant((copy) => Object.assign(copy.ranges.height, { values: [1, 2] })),
      'bad-header',
      '/ranges/height',
    ],
    [
      'a word for a height',
      variant((copy) => Object.assign(copy.ranges.height, { values: [1, 2, 'high', 4, 5, 6] })),
      'bad-values',
      '/ranges/height/values/2',
    ],
    [
      'two ranges',
      variant((copy) => Object.assign(copy.ranges, { depth: copy.ranges.height })),
      'bad-header',
      '/ranges',
    ],
    [
      'values elsewhere',
      variant((copy) => Object.assign(copy.ranges, { height: 'https://example.org/height.covjson' })),
      'bad-header',
      '/ranges/height',
    ],
    ['no system', variant((copy) => Object.assign(copy.domain, { referencing: [] })), 'unknown-crs', ''],
  ])('%s', (_, json, code, pointer) => {
    const error = refusal(json);
    expect(error.code).toBe(code);
    expect(error.message).toContain(pointer);
  });

  it('more cells than allowed, whatever its values', () => {
    expect(refusal(coverage, 5).code).toBe('too-many-cells');
    expect(refusal(variant((copy) => Object.assign(copy.domain.axes.x, { num: 1e9 }))).code).toBe('too-many-cells');
  });
});
