import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';
import { type CellRun, cellRunsInside } from './cell-runs.ts';
import type { GridMap } from './grid-map.ts';

/** What the cells of a grid say about polygons in the local plane. Counts are cells, slopes percent. */
export type CellSurvey = {
  /** The cells whose centre lies in the polygons, also where the grid does not reach. */
  readonly cells: readonly CellRun[];
  readonly total: number;
  /** Of them: beyond the grid. */
  readonly outside: number;
  /** Of them: with a known slope. */
  readonly known: number;
  /** Steepest known slope and its cell; NaN where none is known. */
  readonly steepest: { readonly slopePct: number; readonly column: number; readonly row: number };
};

/**
 * Goes over the cells whose centre lies in the polygons, once. A polygon too small to hold a centre takes the cells under its
 * corners instead.
 */
export function surveyCells(
  polygons: readonly Polygon[],
  grid: ElevationGrid,
  map: GridMap,
  slopeOfCellPct: (column: number, row: number) => number,
): CellSurvey {
  let [total, outside, known] = [0, 0, 0];
  let steepest = { slopePct: Number.NaN, column: 0, row: 0 };
  const cells = polygons.flatMap((polygon) => runsOf(polygon, grid, map));
  for (const { row, from, to } of cells) {
    total += to - from + 1;
    const first = Math.max(from, 0);
    const last = row >= 0 && row < grid.rows ? Math.min(to, grid.columns - 1) : first - 1;
    outside += to - from - Math.max(last - first, -1);
    for (let column = first; column <= last; column++) {
      const slopePct = slopeOfCellPct(column, row);
      if (Number.isNaN(slopePct)) continue;
      known++;
      if (!(slopePct <= steepest.slopePct)) steepest = { slopePct, column, row };
    }
  }
  return { cells, total, outside, known, steepest };
}

function runsOf(polygon: Polygon, grid: ElevationGrid, map: GridMap): CellRun[] {
  const rings = ringsOf([polygon]).map((ring) => ringInCells(ring, grid, map));
  const runs = cellRunsInside(rings);
  if (runs.length > 0) return runs;
  const corners = new Map<string, CellRun>();
  for (let i = 0; i < rings[0].length; i += 2) {
    const column = Math.round(rings[0][i]);
    const row = Math.round(rings[0][i + 1]);
    corners.set(`${column} ${row}`, { row, from: column, to: column });
  }
  return [...corners.values()];
}

function ringInCells(ring: Ring, grid: ElevationGrid, map: GridMap): Float64Array {
  const inCells = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    const { x, y } = map.toGrid(ring[i], ring[i + 1]);
    inCells[i] = (x - grid.firstCentreX) / grid.cellX;
    inCells[i + 1] = (grid.firstCentreY - y) / grid.cellY;
  }
  return inCells;
}
