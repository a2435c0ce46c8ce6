import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { readAsciiGrid } from '#geo-core/terrain/read-ascii-grid.ts';
import { readGeoTiff } from '#geo-core/terrain/read-geotiff.ts';
import { cellSlopePct, type SlopeMethod } from '#geo-core/terrain/slope.ts';
import { TerrainError } from '#geo-core/terrain/terrain-error.ts';
import { floats, gridFields, tiffBytes } from './tiff-bytes.ts';

const fixtures = new URL('../../../fixtures/', import.meta.url);
const delftFile = new URL('sites/real/delft-ground.tif', fixtures);
const urban = new URL('../../shared/data/dem-fr-urban/', fixtures);

function fixture(name: string): Uint8Array {
  return readFileSync(new URL(`elevation/${name}`, fixtures));
}

async function refusal(bytes: Uint8Array, options = {}): Promise<TerrainError> {
  return readGeoTiff(bytes, 'grid.tif', options).then(
    () => expect.fail('the grid was read'),
    (error: unknown) => {
      expect(error).toBeInstanceOf(TerrainError);
      return error as TerrainError;
    },
  );
}

describe('one plane in many encodings', () => {
  const plane = readAsciiGrid(readFileSync(new URL('elevation/plane.asc', fixtures), 'utf8'), 25_832, 'plane.asc');
  it.each([
    'plane-plain.tif',
    'plane-tiled-deflate-predictor3.tif',
    'plane-strips-lzw-predictor2.tif',
    'plane-strips-lzw.tif',
    'plane-packbits.tif',
    'plane-bigtiff.tif',
    'plane-bigendian.tif',
    'plane-pixel-is-point.tif',
    'plane-float64.tif',
  ])('%s holds the heights of the ASCII grid, at the same place', async (name) => {
    const grid = await readGeoTiff(fixture(name), name);
    expect({ ...grid, source: '' }).toEqual({ ...plane, source: '' });
  });

  it('scale and offset of whole numbers are applied', async () => {
    const grid = await readGeoTiff(fixture('plane-int16-scaled.tif'), 'scaled');
    for (let i = 0; i < grid.heightsM.length; i++) expect(grid.heightsM[i]).toBeCloseTo(plane.heightsM[i], 3);
  });

  it('heights in feet become metres', async () => {
    const grid = await readGeoTiff(fixture('plane-feet.tif'), 'feet');
    for (let i = 0; i < grid.heightsM.length; i++) expect(grid.heightsM[i]).toBeCloseTo(plane.heightsM[i], 3);
  });

  it('blocks that the file leaves out, and cells of the no-data value, are not known', async () => {
    const grid = await readGeoTiff(fixture('plane-sparse-nodata.tif'), 'sparse');
    expect(grid.heightsM.filter((heightM) => !Number.isNaN(heightM))).toHaveLength(16 * 30);
    expect(grid.heightsM[15]).toBe(plane.heightsM[15]);
    expect(grid.heightsM[16]).toBeNaN();
  });

  it('takes an ArrayBuffer as well as bytes', async () => {
    const buffer = new Uint8Array(fixture('plane-plain.tif')).buffer;
    expect((await readGeoTiff(buffer, 'plane')).heightsM).toEqual(plane.heightsM);
  });
});

describe('where the cells of a GeoTIFF lie', () => {
  const strip = floats([1, 2, 3, 4, 5, 6]);
  const place = async (...others: Parameters<typeof gridFields>[2] & object): Promise<ElevationGrid> =>
    readGeoTiff(tiffBytes(gridFields(2, 3, others), strip), 'grid');
  const keys = (rasterType: number) => [1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, rasterType, 3072, 0, 1, 25_832];

  it('area ties the corner, point the centre: the same grid written both ways', async () => {
    const area = await place({ tag: 34735, type: 3, values: keys(1) });
    const point = await place(
      { tag: 34735, type: 3, values: keys(2) },
      { tag: 33922, type: 12, values: [0, 0, 0, 500_005, 5_000_025, 0] },
    );
    expect(area).toMatchObject({ firstCentreX: 500_005, firstCentreY: 5_000_025, cellX: 10, cellY: 10 });
    expect(point).toEqual(area);
  });

  it('a tie point may stand at any cell', async () => {
    const grid = await place({ tag: 33922, type: 12, values: [2, 3, 0, 500_020, 5_000_000, 0] });
    expect(grid).toMatchObject({ firstCentreX: 500_005, firstCentreY: 5_000_025 });
  });

  it('a transformation without rotation says the same as a tie point and a scale', async () => {
    const matrix = [10, 0, 0, 500_000, 0, -10, 0, 5_000_030, 0, 0, 0, 0, 0, 0, 0, 1];
    const bytes = tiffBytes(
      gridFields(2, 3, [{ tag: 34264, type: 12, values: matrix }]).filter(({ tag }) => tag !== 33550 && tag !== 33922),
      strip,
    );
    expect(await readGeoTiff(bytes, 'grid')).toEqual(await place());
  });

  it('is refused where it is not said, or turned', async () => {
    expect(await refusal(fixture('not-georeferenced.tif'), { epsg: 25_832 })).toMatchObject({
      code: 'not-georeferenced',
    });
    expect(await refusal(fixture('rotated.tif'))).toMatchObject({ code: 'rotated-grid' });
    expect(await refusal(fixture('south-up.tif'))).toMatchObject({ code: 'rotated-grid' });
  });

  it('a missing, own or unknown reference system is refused with what to pass, and taken with a code', async () => {
    for (const name of ['no-crs.tif', 'user-defined-crs.tif', 'unknown-epsg.tif']) {
      const error = await refusal(fixture(name));
      expect(error.code).toBe('unknown-crs');
      expect(error.advice).toMatch(/EPSG|Reproject/);
      expect((await readGeoTiff(fixture(name), name, { epsg: 25_832 })).epsg).toBe(25_832);
    }
    expect((await refusal(fixture('unknown-epsg.tif'))).message).toContain('EPSG:2927');
  });
});

describe('GeoTIFFs that are not read', () => {
  it.each([
    ['two-bands.tif', 'several-bands'],
    ['plane-zstd.tif', 'unsupported-encoding'],
    ['plane-masked.tif', 'unsupported-encoding'],
    ['plane-bigendian-predictor2.tif', 'unsupported-encoding'],
  ])('%s: %s', async (name, code) => {
    const error = await refusal(fixture(name));
    expect(error.code).toBe(code);
    expect(error.advice.length).toBeGreaterThan(10);
  });

  it('empty bytes and other files', async () => {
    expect((await refusal(new Uint8Array())).code).toBe('empty-file');
    expect((await refusal(new TextEncoder().encode('GIF89a'))).code).toBe('damaged-file');
    expect((await refusal(Uint8Array.of(0x49, 0x49, 42, 0))).code).toBe('damaged-file');
  });

  it('grids with more cells than allowed, before memory is taken', async () => {
    expect((await refusal(fixture('plane-plain.tif'), { maxCells: 1199 })).code).toBe('too-many-cells');
    const vast = tiffBytes(gridFields(4_000_000_000, 4_000_000_000), floats([1]));
    expect((await refusal(vast)).code).toBe('too-many-cells');
  });

  it('fields that claim more than the file holds', async () => {
    const bytes = tiffBytes(gridFields(2, 3), floats([1, 2, 3, 4, 5, 6]));
    const view = new DataView(bytes.buffer);
    for (let entry = 10; view.getUint16(entry, true) !== 33550; entry += 12) {
      if (view.getUint16(entry + 12, true) === 33550) view.setUint32(entry + 16, 0xffff_ffff, true);
    }
    expect((await refusal(bytes)).message).toContain('33550');
  });

  it('blocks that unpack to more than a block holds', async () => {
    const bomb = new Uint8Array(deflateSync(new Uint8Array(64 * 1024 * 1024)));
    const deflate = { tag: 259, type: 3, values: [8] } as const;
    const error = await refusal(tiffBytes(gridFields(2, 3, [deflate]), bomb));
    expect(error).toMatchObject({ code: 'damaged-file' });
    expect(error.message).toContain('more than it can hold');
    const packBits = { tag: 259, type: 3, values: [32_773] } as const;
    const runs = new Uint8Array(2000).map((_, i) => (i % 2 === 0 ? 129 : 1));
    expect((await refusal(tiffBytes(gridFields(2, 3, [packBits]), runs))).code).toBe('damaged-file');
  });

  it('tiles of no width, of a few cells, or larger than any', async () => {
    for (const [width, height] of [
      [0, 0],
      [1, 1],
      [65_520, 65_520],
    ]) {
      const tiles = gridFields(2, 3, [
        { tag: 322, type: 4, values: [width] },
        { tag: 323, type: 4, values: [height] },
        { tag: 324, type: 4, values: [8] },
        { tag: 325, type: 4, values: [8] },
      ]);
      const bytes = tiffBytes(tiles, floats([1]));
      // Without strips the library takes the file for a tiled one.
      const view = new DataView(bytes.buffer);
      for (let i = 0, entry = 10; i < view.getUint16(8, true); i++, entry += 12) {
        if (view.getUint16(entry, true) === 273) view.setUint16(entry, 274, true);
        if (view.getUint16(entry, true) === 274) view.setUint32(entry + 8, 1, true);
      }
      expect((await refusal(bytes)).code).toBe('unsupported-encoding');
    }
  });

  it('every truncation of every fixture is refused or read, and never anything else', async () => {
    for (const name of [
      'plane-plain.tif',
      'plane-tiled-deflate-predictor3.tif',
      'plane-strips-lzw.tif',
      'plane-packbits.tif',
    ]) {
      const whole = fixture(name);
      for (let length = 1; length < whole.length; length += 61) {
        expect((await refusal(whole.subarray(0, length))).code).toBe('damaged-file');
      }
    }
  });

  it('flipped bytes end in a grid or a refusal', async () => {
    const outcomes = new Set<string>();
    for (const name of ['plane-tiled-deflate-predictor3.tif', 'plane-strips-lzw-predictor2.tif', 'plane-bigtiff.tif']) {
      const whole = fixture(name);
      for (let at = 0; at < whole.length; at += 3) {
        const bytes = new Uint8Array(whole);
        bytes[at] ^= 0xff;
        const outcome = await readGeoTiff(bytes, name).catch((error: unknown) => error);
        if (outcome instanceof Error) expect(outcome).toBeInstanceOf(TerrainError);
        outcomes.add(outcome instanceof TerrainError ? outcome.code : 'grid');
      }
    }
    expect([...outcomes]).toEqual(expect.arrayContaining(['grid', 'damaged-file']));
  });
});

describe('real lidar ground', () => {
  it('of Delft has the size and figures that its source states', async () => {
    const grid = await readGeoTiff(readFileSync(delftFile), 'delft');
    expect(grid).toMatchObject({
      epsg: 28_992,
      columns: 527,
      rows: 456,
      firstCentreX: 84_808.75,
      firstCentreY: 447_640.75,
      cellX: 0.5,
      cellY: 0.5,
    });
    const known = grid.heightsM.filter((heightM) => !Number.isNaN(heightM)).toSorted();
    const mean = known.reduce((sum, heightM) => sum + heightM, 0) / known.length;
    expect(known[0]).toBeCloseTo(-0.52, 2);
    expect(known[known.length - 1]).toBeCloseTo(2.28, 2);
    expect(mean).toBeCloseTo(0.36, 2);
    expect(100 * (1 - known.length / grid.heightsM.length)).toBeCloseTo(0.6, 1);
  });

  it.skipIf(!existsSync(urban))(
    'of Montpellier is the same as GeoTIFF and as ASCII grid (only where the shared data lie beside the repository)',
    async () => {
      const tiff = await readGeoTiff(readFileSync(new URL('dtm-0.5m-voids.tif', urban)), 'urban');
      const ascii = readAsciiGrid(readFileSync(new URL('dtm-0.5m-voids.asc', urban), 'utf8'), 2154, 'urban');
      expect(ascii).toMatchObject({ columns: tiff.columns, rows: tiff.rows, cellX: tiff.cellX, cellY: tiff.cellY });
      expect(ascii.firstCentreX).toBeCloseTo(tiff.firstCentreX, 6);
      expect(ascii.firstCentreY).toBeCloseTo(tiff.firstCentreY, 6);
      // The ASCII grid holds three decimals.
      const apart = tiff.heightsM.map((heightM, i) => Math.abs(heightM - ascii.heightsM[i]));
      const unlike = tiff.heightsM.filter((heightM, i) => Number.isNaN(heightM) !== Number.isNaN(ascii.heightsM[i]));
      expect(unlike).toHaveLength(0);
      expect(Math.max(...apart.filter((m) => !Number.isNaN(m)))).toBeLessThan(0.000_51);
      const unknown = ascii.heightsM.filter((heightM) => Number.isNaN(heightM)).length;
      expect((100 * unknown) / ascii.heightsM.length).toBeCloseTo(39.9, 1);
    },
  );
});

const GDALDEM = 'gdaldem';
const isGdaldemThere = spawnSync(GDALDEM, ['--version']).error === undefined;

describe('the slope of every cell of Delft', () => {
  const methods: [string, SlopeMethod][] = [
    ['Horn', 'horn'],
    ['ZevenbergenThorne', 'zevenbergen-thorne'],
  ];
  it.skipIf(!isGdaldemThere).each(methods)(
    'is that of gdaldem slope -alg %s, and not known at the same cells (only where gdaldem is installed)',
    async (algorithm, method) => {
      const folder = mkdtempSync(join(tmpdir(), 'slope-'));
      const file = join(folder, 'slope.tif');
      execFileSync(GDALDEM, ['slope', delftFile.pathname, file, '-p', '-q', '-alg', algorithm]);
      const expected = await readGeoTiff(readFileSync(file), 'gdaldem');
      rmSync(folder, { recursive: true });
      const grid = await readGeoTiff(readFileSync(delftFile), 'delft');
      let compared = 0;
      let worst = 0;
      for (let row = 0; row < grid.rows; row++) {
        for (let column = 0; column < grid.columns; column++) {
          const is = cellSlopePct(grid, column, row, { xM: 0.5, yM: 0.5 }, method);
          const should = expected.heightsM[row * grid.columns + column];
          if (Number.isNaN(is) !== Number.isNaN(should)) expect.fail(`cell ${column}, ${row}: ${is} for ${should}`);
          if (Number.isNaN(is)) continue;
          compared++;
          worst = Math.max(worst, Math.abs(is - should));
        }
      }
      expect(compared).toBeGreaterThan(200_000);
      expect(worst).toBeLessThan(0.001);
    },
  );

  it.skipIf(!isGdaldemThere)(
    'is not known at the edges, where gdaldem -compute_edges reads a plane of 11.18 % as 7.07 % in the corners (only where gdaldem is installed)',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'slope-'));
      const file = join(folder, 'slope.tif');
      const plane = new URL('../../../fixtures/elevation/plane-plain.tif', import.meta.url);
      execFileSync(GDALDEM, ['slope', plane.pathname, file, '-p', '-q', '-compute_edges']);
      const extended = await readGeoTiff(readFileSync(file), 'gdaldem');
      rmSync(folder, { recursive: true });
      const grid = await readGeoTiff(readFileSync(plane), 'plane');
      const corners = [
        [0, 0],
        [grid.columns - 1, 0],
        [0, grid.rows - 1],
        [grid.columns - 1, grid.rows - 1],
      ];
      for (const [column, row] of corners) {
        // The heights are rounded to 0.1 mm: 0.02 % between cells of half a metre.
        expect(Math.abs(extended.heightsM[row * grid.columns + column] - 7.0711)).toBeLessThan(0.05);
        expect(cellSlopePct(grid, column, row, { xM: 0.5, yM: 0.5 })).toBeNaN();
      }
      expect(cellSlopePct(grid, 1, 1, { xM: 0.5, yM: 0.5 })).toBeCloseTo(11.18, 1);
    },
  );
});
