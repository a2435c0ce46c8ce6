import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { metresPerDegree } from '#geo-core/projection/geodesic.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';

export type SlopeMethod = 'horn' | 'zevenbergen-thorne';

/** Size of a cell on the ground along both axes, metres. */
export type CellSizeM = { readonly xM: number; readonly yM: number };

/**
 * Slope of one cell, percent, from its neighbours `reach` cells away (1: the classic 3 x 3 window). NaN at the edge of the grid
 * and beside a cell whose height is not known: nothing is extrapolated.
 *
 *     a b c      Horn (Proc. IEEE 69 (1981) 14-47):                    dz/dx = ((c + 2f + i) - (a + 2d + g)) / 8 w
 *     d . f                                                            dz/dy = ((a + 2b + c) - (g + 2h + i)) / 8 h
 *     g h i      Zevenbergen and Thorne (Earth Surf. Process.          dz/dx = (f - d) / 2 w
 *                Landf. 12 (1987) 47-56):                              dz/dy = (b - h) / 2 h
 */
export function cellSlopePct(
  grid: ElevationGrid,
  column: number,
  row: number,
  cell: CellSizeM,
  method: SlopeMethod = 'horn',
  reach = 1,
): number {
  const { columns, rows, heightsM } = grid;
  if (!(column >= reach && row >= reach && column < columns - reach && row < rows - reach)) return Number.NaN;
  const middle = row * columns + column;
  const upper = middle - reach * columns;
  const lower = middle + reach * columns;
  const west = heightsM[middle - reach];
  const east = heightsM[middle + reach];
  const north = heightsM[upper];
  const south = heightsM[lower];
  const widthM = 2 * reach * cell.xM;
  const heightM = 2 * reach * cell.yM;
  const corners = heightsM[upper - reach] + heightsM[upper + reach] + heightsM[lower - reach] + heightsM[lower + reach];
  // A slope with an unknown height in its window is not known, whichever of the nine the method reads.
  if (Number.isNaN(corners + heightsM[middle])) return Number.NaN;
  let dx = (east - west) / widthM;
  let dy = (north - south) / heightM;
  if (method === 'horn') {
    dx =
      (heightsM[upper + reach] +
        2 * east +
        heightsM[lower + reach] -
        heightsM[upper - reach] -
        2 * west -
        heightsM[lower - reach]) /
      (4 * widthM);
    dy =
      (heightsM[upper - reach] +
        2 * north +
        heightsM[upper + reach] -
        heightsM[lower - reach] -
        2 * south -
        heightsM[lower + reach]) /
      (4 * heightM);
  }
  return 100 * Math.sqrt(dx * dx + dy * dy);
}

/**
 * True ground size of a cell near a point of the grid (its own coordinates), metres: degrees by the radii of the ellipsoid at that
 * latitude, metres of a projection by its scale there (a Mercator metre is short of a metre away from the equator).
 */
export function cellSizeM(grid: ElevationGrid, x: number, y: number): CellSizeM {
  const crs = crsByEpsg(grid.epsg);
  if (crs === undefined) return { xM: grid.cellX, yM: grid.cellY };
  const converter = crsConverter(crs);
  const stepM = (dx: number, dy: number): number => {
    const [westDeg, southDeg] = converter.toLonLat(x - dx / 2, y - dy / 2);
    const [eastDeg, northDeg] = converter.toLonLat(x + dx / 2, y + dy / 2);
    const { latM, lonM } = metresPerDegree((southDeg + northDeg) / 2);
    const alongM = longitudeDifferenceDeg(eastDeg, westDeg) * lonM;
    const acrossM = (northDeg - southDeg) * latM;
    return Math.sqrt(alongM * alongM + acrossM * acrossM);
  };
  return { xM: stepM(grid.cellX, 0), yM: stepM(0, grid.cellY) };
}
