import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { crsByWkt } from '#geo-core/projection/crs-registry.ts';
import { isTiff } from './check-tiff-directory.ts';
import { MAX_CELLS } from './grid-checks.ts';
import { readAsciiGrid } from './read-ascii-grid.ts';
import { readCoverageJson } from './read-coverage-json.ts';
import { readGeoTiff } from './read-geotiff.ts';
import { TerrainError } from './terrain-error.ts';

export type ElevationFile = {
  /** Names the grid in findings. */
  readonly fileName: string;
  /** EPSG code for a file that does not say its own. */
  readonly epsg?: number | undefined;
  /** Text of the `.prj` file beside an ASCII grid. */
  readonly projectionWkt?: string | undefined;
  readonly maxCells?: number | undefined;
};

/** Reads an elevation grid, whichever of GeoTIFF, ESRI ASCII grid and CoverageJSON its first bytes show. Throws TerrainError only. */
export async function readElevation(bytes: Uint8Array, file: ElevationFile): Promise<ElevationGrid> {
  const { fileName, epsg, projectionWkt, maxCells = MAX_CELLS } = file;
  if (bytes.length === 0) {
    throw new TerrainError('empty-file', `The elevation file ${fileName} is empty.`, 'Send the file again.');
  }
  if (isTiff(bytes)) return readGeoTiff(bytes, fileName, { maxCells, epsg });
  if (isPng(bytes)) throw tooCoarse(fileName);
  const start = latin1(bytes.subarray(0, 64)).replace(/^ï»¿/, '').trimStart().toLowerCase();
  if (start.startsWith('{')) return readCoverageJson(parseJson(latin1(bytes)), fileName, maxCells);
  if (/^(?:ncols|nrows|[xy]ll|cellsize|dx|dy|nodata)/.test(start)) {
    const code = epsg ?? (projectionWkt === undefined ? undefined : crsByWkt(projectionWkt)?.epsg);
    return readAsciiGrid(latin1(bytes).replace(/^ï»¿/, ''), code, fileName, maxCells);
  }
  const isPacked = start.startsWith('pk') || (bytes[0] === 0x1f && bytes[1] === 0x8b);
  throw new TerrainError(
    'unknown-format',
    `The elevation file ${fileName} is ${isPacked ? 'packed' : 'neither GeoTIFF, ESRI ASCII grid nor CoverageJSON'}.`,
    isPacked ? 'Unpack it and send the grid itself.' : 'Send the heights in one of these three formats.',
  );
}

const PNG_SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];

/** The first eight bytes of any PNG (ISO/IEC 15948, 5.2). */
function isPng(bytes: Uint8Array): boolean {
  return PNG_SIGNATURE.every((byte, i) => bytes[i] === byte);
}

/**
 * Heights coded in the colours of map tiles (metres = -10000 + 0.1 x the 24-bit colour, from memory) come in steps of a decimetre and in
 * cells of metres: between cells of half a metre one step is a slope of 20 %.
 */
function tooCoarse(fileName: string): TerrainError {
  return new TerrainError(
    'picture-too-coarse',
    `The elevation file ${fileName} is a PNG picture. Heights coded in colours come in steps of 0.1 m, which is 20 % of slope over half a metre: more than a wire may lie on.`,
    'Send the grid that the tiles were made from, as GeoTIFF with floating heights.',
  );
}

/** Byte for byte: numbers and names in these formats are ASCII, other characters stand only in labels that are not read. */
function latin1(bytes: Uint8Array): string {
  const CHUNK = 32_768;
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += CHUNK) {
    parts.push(String.fromCharCode(...bytes.subarray(at, at + CHUNK)));
  }
  return parts.join('');
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text.replace(/^ï»¿/, ''));
  } catch (error) {
    throw new TerrainError('damaged-file', 'The CoverageJSON is not valid JSON.', 'Check the file.', error);
  }
}
