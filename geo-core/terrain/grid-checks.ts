import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { TerrainError } from './terrain-error.ts';

/** Cells of 2 km x 2 km at half a metre: 64 MB of heights. */
export const MAX_CELLS = 16_000_000;

/** Dry ground lies between the Dead Sea shore (about -430 m) and Everest (8849 m): other values are undeclared fill. */
const GROUND_MIN_M = -500;
const GROUND_MAX_M = 9000;

/** Less than a millimetre on the ground, in metres and in degrees. */
const CELL_MIN = { metre: 0.001, degree: 1e-8 } as const;

/** Throws before anything is allocated for a grid that is empty or larger than allowed. */
export function checkCellCount(columns: number, rows: number, maxCells: number): void {
  if (!Number.isSafeInteger(columns) || !Number.isSafeInteger(rows) || columns < 1 || rows < 1) {
    throw new TerrainError(
      'bad-header',
      `The grid says that it has ${columns} columns and ${rows} rows.`,
      'Check the file: both must be whole numbers from 1.',
    );
  }
  if (columns * rows > maxCells) {
    throw new TerrainError(
      'too-many-cells',
      `The grid has ${columns} x ${rows} cells; at most ${maxCells} are read.`,
      'Cut the grid to the surroundings of the site, or use larger cells.',
    );
  }
}

/** Throws where the code is missing or not in the registry; gives it back otherwise. */
export function checkedEpsg(epsg: number | undefined): number {
  if (epsg === undefined) {
    throw new TerrainError(
      'unknown-crs',
      'The grid does not say which coordinate reference system it is in.',
      'Pass its EPSG code, for example 25832 or 28992.',
    );
  }
  if (crsByEpsg(epsg) === undefined) {
    throw new TerrainError(
      'unknown-crs',
      `The grid is in EPSG:${epsg}, which is not known here.`,
      'Reproject the grid to the UTM zone of the site, or to EPSG:4326.',
    );
  }
  return epsg;
}

/** Heights outside what ground can have become NaN (in place); throws where nothing is left, or where place and cells make no sense. */
export function checkedGrid(grid: ElevationGrid): ElevationGrid {
  const { firstCentreX, firstCentreY, cellX, cellY, heightsM } = grid;
  const cellMin = CELL_MIN[crsByEpsg(grid.epsg)?.unit ?? 'metre'];
  const isPlaced = Number.isFinite(firstCentreX) && Number.isFinite(firstCentreY);
  if (!isPlaced || !Number.isFinite(cellX) || !Number.isFinite(cellY) || cellX < cellMin || cellY < cellMin) {
    throw new TerrainError(
      'bad-header',
      `The grid starts at ${firstCentreX}, ${firstCentreY} with cells of ${cellX} x ${cellY}.`,
      'Check the file: position and cell size must be numbers, the cell size at least a millimetre.',
    );
  }
  let known = 0;
  for (let i = 0; i < heightsM.length; i++) {
    const heightM = heightsM[i];
    if (heightM >= GROUND_MIN_M && heightM <= GROUND_MAX_M) known++;
    else heightsM[i] = Number.NaN;
  }
  if (known === 0) {
    throw new TerrainError(
      'no-heights',
      'No cell of the grid holds a height that ground can have.',
      'Check the file: heights must be metres between -500 and 9000.',
    );
  }
  return grid;
}
