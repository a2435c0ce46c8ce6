import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { GridMap } from './grid-map.ts';

/** Rise of the ground in metres a metre, to the east (x) and to the north (y) of the local plane; NaN where not known. */
export type Rise = { readonly x: number; readonly y: number };

/** A block of cells of a grid. */
export type CellBlock = {
  readonly fromColumn: number;
  readonly fromRow: number;
  readonly columns: number;
  readonly rows: number;
};

/** The slope that a machine feels at the centre of every cell of a block. */
export type SlopeField = CellBlock & {
  readonly riseX: Float32Array;
  readonly riseY: Float32Array;
  /** Cells on either side of the middle one that the planes are fitted to. */
  readonly reach: number;
  /** Standard deviation of a rise along one axis where single heights scatter by 1 m. */
  readonly scatterPerM: number;
};

/** One cell to the east and one to the north as vectors of the local plane, metres. */
type CellAxes = { readonly ax: number; readonly ay: number; readonly bx: number; readonly by: number };

/**
 * Least-squares planes through (2 reach + 1) x (2 reach + 1) heights: reach is half a wheelbase, at least one cell. For evenly
 * spaced heights the normal equations fall apart (I. S. Evans 1980, from memory, for the window of three):
 *
 *     dz per column = sum i z / N,   dz per row = sum j z / N,   N = (2 reach + 1) reach (reach + 1) (2 reach + 1) / 3
 *
 * with i, j the steps from the middle; errors of single heights come down by the square root of N. Both steps are vectors of
 * the local plane, so scale, degrees, turned grids and unequal sides are all the same. One unknown height in the window, or
 * the end of the grid, makes the slope unknown. Sums run along rows first: a cell costs 2 (2 reach + 1) additions.
 */
export function slopeField(grid: ElevationGrid, map: GridMap, block: CellBlock, wheelBaseM: number): SlopeField {
  const { fromColumn, fromRow, columns, rows } = block;
  const axes = cellAxes(grid, map, fromColumn + columns / 2, fromRow + rows / 2);
  const sideM = Math.sqrt(Math.abs(axes.ax * axes.by - axes.ay * axes.bx));
  const reach = Math.max(1, Math.round(wheelBaseM / 2 / sideM));
  const squares = ((2 * reach + 1) * reach * (reach + 1) * (2 * reach + 1)) / 3;
  const riseX = new Float32Array(columns * rows).fill(Number.NaN);
  const riseY = new Float32Array(columns * rows).fill(Number.NaN);
  const { plain, tilted } = rowSums(grid, block, reach);
  const cross = axes.ax * axes.by - axes.ay * axes.bx;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let [east, north] = [0, 0];
      for (let j = -reach; j <= reach; j++) {
        const at = (row + reach + j) * columns + column;
        east += tilted[at];
        north -= j * plain[at];
      }
      const stepEast = east / squares;
      const stepNorth = north / squares;
      riseX[row * columns + column] = (stepEast * axes.by - stepNorth * axes.ay) / cross;
      riseY[row * columns + column] = (stepNorth * axes.ax - stepEast * axes.bx) / cross;
    }
  }
  return { ...block, riseX, riseY, reach, scatterPerM: 1 / (sideM * Math.sqrt(squares)) };
}

/** Sums of z and of i z over the window of each cell of a row, for the rows of the block and `reach` more on both sides. */
function rowSums(grid: ElevationGrid, { fromColumn, fromRow, columns, rows }: CellBlock, reach: number) {
  const plain = new Float64Array(columns * (rows + 2 * reach)).fill(Number.NaN);
  const tilted = new Float64Array(columns * (rows + 2 * reach)).fill(Number.NaN);
  for (let row = 0; row < rows + 2 * reach; row++) {
    const gridRow = fromRow - reach + row;
    if (gridRow < 0 || gridRow >= grid.rows) continue;
    for (let column = 0; column < columns; column++) {
      const middle = fromColumn + column;
      if (middle < reach || middle >= grid.columns - reach) continue;
      let [sum, slant] = [0, 0];
      for (let i = -reach; i <= reach; i++) {
        const heightM = grid.heightsM[gridRow * grid.columns + middle + i];
        sum += heightM;
        slant += i * heightM;
      }
      plain[row * columns + column] = sum;
      tilted[row * columns + column] = slant;
    }
  }
  return { plain, tilted };
}

function cellAxes(grid: ElevationGrid, map: GridMap, column: number, row: number): CellAxes {
  const x = grid.firstCentreX + column * grid.cellX;
  const y = grid.firstCentreY - row * grid.cellY;
  const west = map.toPlane(x - grid.cellX / 2, y);
  const east = map.toPlane(x + grid.cellX / 2, y);
  const south = map.toPlane(x, y - grid.cellY / 2);
  const north = map.toPlane(x, y + grid.cellY / 2);
  return { ax: east.x - west.x, ay: east.y - west.y, bx: north.x - south.x, by: north.y - south.y };
}

const UNKNOWN: Rise = { x: Number.NaN, y: Number.NaN };

/** The rise at a cell of the grid; NaN outside the field. */
export function riseAt(
  { fromColumn, fromRow, columns, rows, riseX, riseY }: SlopeField,
  column: number,
  row: number,
): Rise {
  const c = column - fromColumn;
  const r = row - fromRow;
  if (!(c >= 0 && c < columns && r >= 0 && r < rows)) return UNKNOWN;
  return { x: riseX[r * columns + c], y: riseY[r * columns + c] };
}

/** Slope of a rise, percent. */
export function slopePctOf({ x, y }: Rise): number {
  return 100 * Math.sqrt(x * x + y * y);
}
