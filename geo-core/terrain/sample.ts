import type { ElevationGrid } from '#geo-core/model/elevation.ts';

/**
 * Height at a point in the grid's own coordinates: bilinear between the four cell centres around it, metres. NaN outside the
 * outermost centres and next to a cell whose height is not known.
 */
export function heightAtM(grid: ElevationGrid, x: number, y: number): number {
  const { columns, rows, heightsM } = grid;
  const column = (x - grid.firstCentreX) / grid.cellX;
  const row = (grid.firstCentreY - y) / grid.cellY;
  if (!(column >= 0 && column <= columns - 1 && row >= 0 && row <= rows - 1)) return Number.NaN;
  const left = Math.min(Math.floor(column), Math.max(columns - 2, 0));
  const top = Math.min(Math.floor(row), Math.max(rows - 2, 0));
  const east = column - left;
  const south = row - top;
  const weighted = (weight: number, c: number, r: number): number =>
    weight === 0 ? 0 : weight * heightsM[r * columns + c];
  return (
    weighted((1 - east) * (1 - south), left, top) +
    weighted(east * (1 - south), left + 1, top) +
    weighted((1 - east) * south, left, top + 1) +
    weighted(east * south, left + 1, top + 1)
  );
}
