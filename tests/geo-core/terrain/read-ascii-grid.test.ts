import { describe, expect, it } from 'vitest';
import { readAsciiGrid } from '#geo-core/terrain/read-ascii-grid.ts';
import { TerrainError } from '#geo-core/terrain/terrain-error.ts';

const VALUES = '1 2 3\n4 -9999 6\n';

function refusal(text: string, epsg: number | undefined = 25_832, maxCells?: number): TerrainError {
  try {
    readAsciiGrid(text, epsg, 'grid.asc', maxCells);
  } catch (error) {
    expect(error).toBeInstanceOf(TerrainError);
    return error as TerrainError;
  }
  return expect.fail('the grid was read');
}

describe('an ESRI ASCII grid', () => {
  const corner = readAsciiGrid(
    `ncols 3\nnrows 2\nxllcorner 100\nyllcorner 210\ncellsize 10\nNODATA_value -9999\n${VALUES}`,
    25_832,
    'grid.asc',
  );

  it('has its first row on top, north, and unknown cells as NaN', () => {
    expect(corner).toMatchObject({ epsg: 25_832, columns: 3, rows: 2, firstCentreX: 105, firstCentreY: 225 });
    expect([...corner.heightsM]).toEqual([1, 2, 3, 4, Number.NaN, 6]);
  });

  it('means the same in corner form and in centre form (either spelling), whatever case and line ends', () => {
    const centre = `NCOLS 3\r\nNROWS 2\r\nXLLCENTER 105\r\nYLLCENTRE 215\r\nCELLSIZE 10\r\nnodata_VALUE -9999.0\r\n${VALUES.replaceAll('\n', '\r\n')}`;
    expect(readAsciiGrid(centre, 25_832, 'grid.asc')).toEqual(corner);
  });

  it('may have cells that are not square', () => {
    const grid = readAsciiGrid(`ncols 3 nrows 2 xllcorner 0 yllcorner 0 dx 2 dy 0.5 ${VALUES}`, 25_832, 'grid.asc');
    expect(grid).toMatchObject({ cellX: 2, cellY: 0.5, firstCentreX: 1, firstCentreY: 0.75 });
  });

  it('takes -9999 as unknown where the header names no value, and "nan" always', () => {
    const grid = readAsciiGrid(
      'ncols 3\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\nnan -9999 7',
      25_832,
      'grid.asc',
    );
    expect([...grid.heightsM]).toEqual([Number.NaN, Number.NaN, 7]);
  });

  it('takes heights that no ground has as unknown', () => {
    const grid = readAsciiGrid(
      'ncols 3\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\n-32768 1e30 7',
      25_832,
      'grid.asc',
    );
    expect([...grid.heightsM]).toEqual([Number.NaN, Number.NaN, 7]);
  });
});

describe('an ASCII grid that is not read', () => {
  const header = 'ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1\n';

  it('says what to pass where no reference system is known', () => {
    const error = (() => {
      try {
        return readAsciiGrid(header + VALUES, undefined, 'grid.asc');
      } catch (thrown) {
        return thrown;
      }
    })();
    expect(error).toMatchObject({ code: 'unknown-crs' });
    expect((error as TerrainError).advice).toContain('EPSG');
  });

  it.each([
    ['too few values', `${header}1 2 3 4 5`, 'damaged-file'],
    ['too many values', `${header}1 2 3 4 5 6 7`, 'damaged-file'],
    ['a decimal comma', `${header}1 2 3 4,5 5 6`, 'bad-values'],
    ['no header', '1 2 3', 'bad-header'],
    ['nothing', '', 'bad-header'],
    ['an unknown header line', `${header}colour blue\n1 2 3 4 5 6`, 'bad-header'],
    ['a header value that is no number', header.replace('cellsize 1', 'cellsize wide'), 'bad-header'],
    ['no position', `ncols 3\nnrows 2\ncellsize 1\n1 2 3 4 5 6`, 'bad-header'],
    ['no cell size', `ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\n1 2 3 4 5 6`, 'bad-header'],
    ['cells of no size', `${header.replace('cellsize 1', 'cellsize 0')}1 2 3 4 5 6`, 'bad-header'],
    ['half a column', header.replace('ncols 3', 'ncols 2.5'), 'bad-header'],
    ['no known height', `${header}-9999 -9999 -9999 -9999 -9999 -9999`, 'no-heights'],
  ])('has %s', (_, text, code) => {
    expect(refusal(text).code).toBe(code);
  });

  it('names row and column of a bad value', () => {
    expect(refusal(`${header}1 2 3 4,5 5 6`).message).toContain('row 2, column 1');
  });

  it('is larger than allowed, before memory is taken', () => {
    expect(refusal(header.replace('ncols 3', 'ncols 900000000')).code).toBe('too-many-cells');
    expect(refusal(header + VALUES, 25_832, 5).code).toBe('too-many-cells');
  });
});
