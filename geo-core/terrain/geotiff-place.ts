import type { GeoTIFFImage } from 'geotiff';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { checkedEpsg } from './grid-checks.ts';
import { TerrainError } from './terrain-error.ts';

type Place = Pick<ElevationGrid, 'epsg' | 'firstCentreX' | 'firstCentreY' | 'cellX' | 'cellY'>;

const MODEL_PROJECTED = 1;
const MODEL_GEOGRAPHIC = 2;
const RASTER_PIXEL_IS_POINT = 2;
const USER_DEFINED = 32767;

/**
 * Where the cells of a GeoTIFF lie (OGC 19-008r4). RasterPixelIsArea ties (0, 0) to the corner of the first cell,
 * RasterPixelIsPoint to its centre. `epsg` goes before the file's own code. Throws TerrainError.
 */
export function tiffPlace(image: GeoTIFFImage, epsg: number | undefined): Place {
  const keys = image.getGeoKeys() ?? {};
  const code = epsg ?? fileEpsg(keys);
  const { originX, originY, cellX, cellY } = tiffAxes(image);
  const toCentre = keys.GTRasterTypeGeoKey === RASTER_PIXEL_IS_POINT ? 0 : 0.5;
  return {
    epsg: checkedEpsg(code),
    firstCentreX: originX + toCentre * cellX,
    firstCentreY: originY - toCentre * cellY,
    cellX,
    cellY,
  };
}

type GeoKeys = NonNullable<ReturnType<GeoTIFFImage['getGeoKeys']>>;

function fileEpsg(keys: GeoKeys): number | undefined {
  const model: unknown = keys.GTModelTypeGeoKey;
  const code: unknown =
    model === MODEL_PROJECTED
      ? keys.ProjectedCSTypeGeoKey
      : model === MODEL_GEOGRAPHIC
        ? keys.GeographicTypeGeoKey
        : undefined;
  if (code === USER_DEFINED) {
    throw new TerrainError(
      'unknown-crs',
      'The GeoTIFF defines a coordinate reference system of its own.',
      'Pass the EPSG code that it stands for, or reproject the grid.',
    );
  }
  return typeof code === 'number' ? code : undefined;
}

/** Place of raster coordinate (0, 0) and the cell sizes, north up. */
function tiffAxes(image: GeoTIFFImage): { originX: number; originY: number; cellX: number; cellY: number } {
  const directory = image.fileDirectory;
  const scale = directory.getValue('ModelPixelScale');
  const tie = directory.getValue('ModelTiepoint');
  if (scale !== undefined && tie !== undefined && tie.length === 6) {
    const cellX = Number(scale[0]);
    const cellY = Math.abs(Number(scale[1]));
    return { originX: tie[3] - tie[0] * cellX, originY: tie[4] + tie[1] * cellY, cellX, cellY };
  }
  const matrix = directory.getValue('ModelTransformation');
  if (matrix === undefined || matrix.length !== 16) {
    throw new TerrainError(
      'not-georeferenced',
      'The GeoTIFF does not say where its cells lie by one tie point and a cell size.',
      'Save it with a georeference (one tie point and pixel scale), north up.',
    );
  }
  const [cellX, shearX, , originX, shearY, down, , originY] = matrix;
  if (shearX !== 0 || shearY !== 0 || !(cellX > 0) || !(down < 0)) {
    throw new TerrainError(
      'rotated-grid',
      'The rows of the GeoTIFF do not run from west to east and from north to south.',
      'Warp it to a grid with north up.',
    );
  }
  return { originX, originY, cellX, cellY: -down };
}
