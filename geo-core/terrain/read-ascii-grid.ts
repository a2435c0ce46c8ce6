import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { checkCellCount, checkedEpsg, checkedGrid, MAX_CELLS } from './grid-checks.ts';
import { TerrainError } from './terrain-error.ts';

const HEADER_KEYS = [
  'ncols',
  'nrows',
  'xllcorner',
  'yllcorner',
  'xllcenter',
  'yllcenter',
  'cellsize',
  'dx',
  'dy',
  'nodata_value',
] as const;
type HeaderKey = (typeof HEADER_KEYS)[number];
type Header = Partial<Record<HeaderKey, number>>;

/**
 * Reads an ESRI ASCII grid of metres: header lines in any order, corner or centre form, `cellsize` or `dx` and `dy`, first row of
 * values on top. The file itself holds no coordinate reference system: `epsg` must say it (from the `.prj` beside it, see
 * `crsByWkt`). Throws TerrainError.
 */
export function readAsciiGrid(
  text: string,
  epsg: number | undefined,
  source: string,
  maxCells: number = MAX_CELLS,
): ElevationGrid {
  const tokens = tokensOf(text);
  const { header, first } = readHeader(tokens);
  const columns = header.ncols ?? 0;
  const rows = header.nrows ?? 0;
  checkCellCount(columns, rows, maxCells);
  const cellX = header.dx ?? header.cellsize ?? Number.NaN;
  const cellY = header.dy ?? header.cellsize ?? Number.NaN;
  const heightsM = readValues(tokens, first, columns, rows, header.nodata_value ?? -9999);
  return checkedGrid({
    epsg: checkedEpsg(epsg),
    columns,
    rows,
    firstCentreX: header.xllcenter ?? (header.xllcorner ?? Number.NaN) + cellX / 2,
    firstCentreY: (header.yllcenter ?? (header.yllcorner ?? Number.NaN) + cellY / 2) + (rows - 1) * cellY,
    cellX,
    cellY,
    heightsM,
    source,
  });
}

/** Words between blanks, one at a time: a large grid is never split into millions of strings at once. */
function* tokensOf(text: string): Generator<string, undefined> {
  let start = -1;
  for (let at = 0; at <= text.length; at++) {
    const isBlank = at === text.length || text.charCodeAt(at) <= 32;
    if (!isBlank && start < 0) start = at;
    if (isBlank && start >= 0) {
      yield text.slice(start, at);
      start = -1;
    }
  }
  return undefined;
}

type Tokens = Generator<string, undefined>;

function isHeaderKey(key: string): key is HeaderKey {
  return HEADER_KEYS.some((known) => known === key);
}

/** The header, and the first word after it. */
function readHeader(tokens: Tokens): { header: Header; first: string | undefined } {
  const header: Header = {};
  for (;;) {
    const word = tokens.next().value;
    if (word === undefined || !/^[a-z]/i.test(word) || /^nan$/i.test(word)) return { header, first: word };
    const key = word.toLowerCase().replace(/centre$/, 'center');
    const value = tokens.next().value ?? '';
    if (!isHeaderKey(key)) {
      throw new TerrainError(
        'bad-header',
        `The header of the ASCII grid has a line "${word.slice(0, 40)}", which is not known.`,
        `Known are ${HEADER_KEYS.join(', ')}.`,
      );
    }
    const number = Number(value);
    if (Number.isNaN(number) && !/^[-+]?nan$/i.test(value)) {
      throw new TerrainError(
        'bad-header',
        `The header of the ASCII grid gives ${word} as "${value.slice(0, 40)}".`,
        'Write numbers with a decimal point.',
      );
    }
    header[key] = number;
  }
}

function readValues(
  tokens: Tokens,
  first: string | undefined,
  columns: number,
  rows: number,
  noData: number,
): Float32Array {
  const heightsM = new Float32Array(columns * rows);
  const fill = Math.fround(noData);
  let word = first;
  for (let i = 0; i < heightsM.length; i++) {
    if (word === undefined) {
      throw new TerrainError(
        'damaged-file',
        `The ASCII grid ends after ${i} of ${columns} x ${rows} values.`,
        'Fetch or save the file again.',
      );
    }
    const value = Number(word);
    if (Number.isNaN(value) && !/^[-+]?nan$/i.test(word)) {
      throw new TerrainError(
        'bad-values',
        `The ASCII grid has "${word.slice(0, 40)}" in row ${Math.floor(i / columns) + 1}, column ${(i % columns) + 1}.`,
        'Write heights in metres as numbers with a decimal point.',
      );
    }
    heightsM[i] = Math.fround(value) === fill ? Number.NaN : value;
    word = tokens.next().value;
  }
  if (word !== undefined) {
    throw new TerrainError(
      'damaged-file',
      `The ASCII grid has more than ${columns} x ${rows} values.`,
      'Check ncols and nrows in its header.',
    );
  }
  return heightsM;
}
