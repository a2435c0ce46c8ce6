import { fromArrayBuffer, type GeoTIFFImage } from 'geotiff';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { FOOT_M } from '#geo-core/model/foot.ts';
import { READ_COMPRESSIONS, useBoundedDecoders } from './bounded-decoders.ts';
import { checkTiffDirectory, damaged, isTiff } from './check-tiff-directory.ts';
import { tiffPlace } from './geotiff-place.ts';
import { checkCellCount, checkedGrid, MAX_CELLS } from './grid-checks.ts';
import { TerrainError } from './terrain-error.ts';

export type GridOptions = {
  /** Most cells that are read; checked before memory is taken. */
  readonly maxCells?: number | undefined;
  /** EPSG code for a file that does not say its own; where given it goes before the file's. */
  readonly epsg?: number | undefined;
};

/**
 * Reads a GeoTIFF of heights (OGC 19-008r4): one band, whole or floating numbers, strips or tiles, plain, LZW, deflate or
 * PackBits, north up, with an EPSG code. Heights become metres (scale, offset and feet of the file applied), GDAL_NODATA NaN.
 * Only the first image is read: overviews behind it do not matter. Throws TerrainError.
 */
export async function readGeoTiff(
  bytes: Uint8Array | ArrayBuffer,
  source: string,
  options: GridOptions = {},
): Promise<ElevationGrid> {
  const octets = bytes instanceof Uint8Array ? bytes : new Uint8Array(bytes);
  if (octets.length === 0) throw new TerrainError('empty-file', 'The elevation file is empty.', 'Send the file again.');
  if (!isTiff(octets)) throw damaged('it does not start as a TIFF does');
  const { isBigEndian } = checkTiffDirectory(octets);
  try {
    useBoundedDecoders();
    const image = await (await fromArrayBuffer(new Uint8Array(octets).buffer)).getImage(0);
    const columns = image.getWidth();
    const rows = image.getHeight();
    checkCellCount(columns, rows, options.maxCells ?? MAX_CELLS);
    await checkEncoding(image, isBigEndian);
    const place = tiffPlace(image, options.epsg);
    const heightsM = await readHeights(image);
    return checkedGrid({ ...place, columns, rows, heightsM, source });
  } catch (error) {
    if (error instanceof TerrainError) throw error;
    throw damaged(error instanceof Error ? error.message : 'its blocks do not unpack', error);
  }
}

const READ_SAMPLES = ['1-8', '1-16', '1-32', '2-8', '2-16', '2-32', '3-32', '3-64'];

/** Most strips or tiles of a file: rows of the largest grid, one strip each, are fewer. */
const MAX_BLOCKS = 200_000;

async function checkEncoding(image: GeoTIFFImage, isBigEndian: boolean): Promise<void> {
  const directory = image.fileDirectory;
  const bands = image.getSamplesPerPixel();
  if (bands !== 1) {
    throw new TerrainError(
      'several-bands',
      `The GeoTIFF has ${bands} bands; heights come as one.`,
      'Save the band of the heights alone.',
    );
  }
  const compression = Number(directory.getValue('Compression') ?? 1);
  if (!READ_COMPRESSIONS.has(compression)) throw unsupported(`compression scheme ${compression}`);
  const sample = `${image.getSampleFormat()}-${image.getBitsPerSample()}`;
  if (!READ_SAMPLES.includes(sample)) {
    throw unsupported(`samples of format ${image.getSampleFormat()} with ${image.getBitsPerSample()} bits`);
  }
  const predictor = Number((await directory.loadValue('Predictor')) ?? 1);
  if (predictor !== 1 && isBigEndian) throw unsupported('a predictor in big-endian order');
  const orientation = Number((await directory.loadValue('Orientation')) ?? 1);
  if (orientation !== 1) throw unsupported(`orientation ${orientation}`);
  const width = image.getTileWidth();
  const height = image.getTileHeight();
  const least = image.isTiled ? 16 : 1;
  const blocks = Math.ceil(image.getWidth() / width) * Math.ceil(image.getHeight() / height);
  const isBlockTooLarge = image.isTiled && width * height > 4096 * 4096;
  if (!(width >= least && height >= least && blocks <= MAX_BLOCKS) || isBlockTooLarge) {
    throw unsupported(`blocks of ${width} x ${height} cells`);
  }
}

function unsupported(what: string): TerrainError {
  return new TerrainError(
    'unsupported-encoding',
    `The GeoTIFF uses ${what}, which is not read.`,
    'Save it with 32-bit floating heights and deflate compression.',
  );
}

const US_SURVEY_FOOT_M = 1200 / 3937;

/** Metres of the units that heights come in, by EPSG unit code, by EPSG code of a vertical system in feet, and by name. */
const HEIGHT_UNITS_M: ReadonlyMap<unknown, number> = new Map<unknown, number>([
  [9002, FOOT_M],
  [9003, US_SURVEY_FOOT_M],
  ...[6130, 6131, 6132, 8050, 8228].map((code): [number, number] => [code, FOOT_M]),
  ...[5702, 6360, 8052].map((code): [number, number] => [code, US_SURVEY_FOOT_M]),
  ['foot', FOOT_M],
  ['ft', FOOT_M],
  ['US survey foot', US_SURVEY_FOOT_M],
  ['us-ft', US_SURVEY_FOOT_M],
]);

async function readHeights(image: GeoTIFFImage): Promise<Float32Array> {
  const [samples] = await image.readRasters({ interleave: false });
  const metadata = (await image.getGDALMetadata(0)) ?? {};
  const scale = Number(metadata.SCALE ?? 1);
  const offset = Number(metadata.OFFSET ?? 0);
  const keys = image.getGeoKeys() ?? {};
  const unitM =
    HEIGHT_UNITS_M.get(keys.VerticalUnitsGeoKey) ??
    HEIGHT_UNITS_M.get(keys.VerticalCSTypeGeoKey) ??
    HEIGHT_UNITS_M.get(metadata.UNITTYPE) ??
    1;
  const noData = image.getGDALNoData();
  // Compared as single precision: the text of the tag and the samples may be rounded differently.
  const fill = noData === null ? Number.NaN : Math.fround(noData);
  const heightsM = new Float32Array(samples.length);
  for (let i = 0; i < samples.length; i++) {
    heightsM[i] = Math.fround(samples[i]) === fill ? Number.NaN : (samples[i] * scale + offset) * unitM;
  }
  return heightsM;
}
