import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { GridMap, PlaneBox } from './grid-map.ts';
import type { CellBlock } from './slope-field.ts';

/** Cells round the lawn that the field reaches, so that its edges and what lies just beyond are known. */
const MARGIN_CELLS = 3;

/** The cells under a box and a few more around, as far as the grid reaches; undefined where it does not. */
export function slopeBlock(box: PlaneBox, grid: ElevationGrid, map: GridMap): CellBlock | undefined {
  const corners = [box.minX, box.maxX].flatMap((x) => [box.minY, box.maxY].map((y) => map.toGrid(x, y)));
  const columns = corners.map(({ x }) => (x - grid.firstCentreX) / grid.cellX);
  const rows = corners.map(({ y }) => (grid.firstCentreY - y) / grid.cellY);
  const fromColumn = Math.max(0, Math.floor(Math.min(...columns)) - MARGIN_CELLS);
  const fromRow = Math.max(0, Math.floor(Math.min(...rows)) - MARGIN_CELLS);
  const toColumn = Math.min(grid.columns - 1, Math.ceil(Math.max(...columns)) + MARGIN_CELLS);
  const toRow = Math.min(grid.rows - 1, Math.ceil(Math.max(...rows)) + MARGIN_CELLS);
  if (!(toColumn >= fromColumn && toRow >= fromRow)) return undefined;
  return { fromColumn, fromRow, columns: toColumn - fromColumn + 1, rows: toRow - fromRow + 1 };
}
