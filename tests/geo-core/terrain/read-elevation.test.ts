import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readElevation } from '#geo-core/terrain/read-elevation.ts';
import { TerrainError } from '#geo-core/terrain/terrain-error.ts';

const folder = new URL('../../../fixtures/elevation/', import.meta.url);
const text = (content: string): Uint8Array => new TextEncoder().encode(content);
const ascii = 'ncols 2\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\n1 2\n';
const coverage = {
  type: 'Coverage',
  domain: {
    axes: { x: { start: 0, stop: 1, num: 2 }, y: { start: 0, stop: 1, num: 2 } },
    referencing: [{ coordinates: ['x', 'y'], system: { id: 'EPSG:25832', label: 'Höhe – über Meer' } }],
  },
  ranges: { h: { type: 'NdArray', values: [1, 2, 3, 4] } },
};

describe('an elevation file', () => {
  it('is read by what it holds, not by its name', async () => {
    const tiff = await readElevation(readFileSync(new URL('plane-plain.tif', folder)), { fileName: 'ground.asc' });
    expect(tiff).toMatchObject({ columns: 40, source: 'ground.asc' });
    const grid = await readElevation(text(ascii), { fileName: 'ground.tif', epsg: 25_832 });
    expect([...grid.heightsM]).toEqual([1, 2]);
    const json = await readElevation(text(JSON.stringify(coverage)), { fileName: 'ground.txt' });
    expect([...json.heightsM]).toEqual([3, 4, 1, 2]);
  });

  it('may start with a byte order mark or blanks', async () => {
    const grid = await readElevation(text(`\uFEFF${ascii}`), { fileName: 'a', epsg: 25_832 });
    expect(grid.columns).toBe(2);
    const json = await readElevation(text(`\uFEFF\n ${JSON.stringify(coverage)}`), { fileName: 'b' });
    expect(json.rows).toBe(2);
  });

  it('takes the system of an ASCII grid from the projection text beside it, a code given goes first', async () => {
    const projectionWkt = 'PROJCS["RGF_1993_Lambert_93",GEOGCS["GCS_RGF_1993"]]';
    expect((await readElevation(text(ascii), { fileName: 'a', projectionWkt })).epsg).toBe(2154);
    expect((await readElevation(text(ascii), { fileName: 'a', projectionWkt, epsg: 28_992 })).epsg).toBe(28_992);
    await expect(readElevation(text(ascii), { fileName: 'a', projectionWkt: 'PROJCS["mine"]' })).rejects.toMatchObject({
      code: 'unknown-crs',
    });
  });

  it.each([
    ['nothing', new Uint8Array(), 'empty-file'],
    ['a picture', Uint8Array.of(0xff, 0xd8, 0xff, 0xe0), 'unknown-format'],
    [
      'heights in colours',
      Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13),
      'picture-too-coarse',
    ],
    ['a sentence', text('the ground is flat'), 'unknown-format'],
    ['an archive', text('PK\u0003\u0004'), 'unknown-format'],
    ['a packed grid', new Uint8Array(gzipSync(ascii)), 'unknown-format'],
    ['broken JSON', text('{"type":"Coverage",'), 'damaged-file'],
    ['other JSON', text('{"type":"Feature"}'), 'bad-header'],
  ])('of %s is refused with advice', async (_, bytes, code) => {
    const error = await readElevation(bytes, { fileName: 'ground' }).catch((thrown: unknown) => thrown);
    expect(error).toBeInstanceOf(TerrainError);
    expect(error).toMatchObject({ code, advice: expect.stringMatching(/\w{3}/) });
  });

  it('of any bytes gives a grid or a TerrainError', async () => {
    const start = fc.constantFrom('II*\0', 'MM\0*', 'II+\0', 'ncols ', '{"', '');
    await fc.assert(
      fc.asyncProperty(start, fc.uint8Array({ maxLength: 400 }), async (head, tail) => {
        const bytes = Uint8Array.from([...text(head), ...tail]);
        const outcome = await readElevation(bytes, { fileName: 'any', epsg: 25_832 }).catch((error: unknown) => error);
        if (outcome instanceof Error) expect(outcome).toBeInstanceOf(TerrainError);
      }),
      { seed: 19_008, numRuns: 500 },
    );
  });
});
