import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { CellRun } from './cell-runs.ts';

/** Cells looked at, at most: the median of so many is known to a few percent. */
const MOST_CELLS = 4000;
/** Median of the absolute value of a normal variable, in standard deviations. */
const NORMAL_MEDIAN = 0.674_49;
/** Steps that grids of whole metres or decimetres are written in, metres; finer ones drown in the scatter of any survey. */
const STEPS_M = [1, 0.1];
/** Fewer different heights do not tell a grid written in steps from level ground. */
const LEAST_HEIGHTS = 3;

/**
 * Standard deviation of single heights around smooth ground, metres, from the grid itself under the given cells: the mask
 *
 *      1 -2  1
 *     -2  4 -2     (J. Immerkaer, Fast noise variance estimation, Comput. Vis. Image Underst. 64 (1996) 300-302, from memory)
 *      1 -2  1
 *
 * is blind to planes, to curves along either axis and to straight banks along them; its answer to scatter s is 6 s. The median
 * instead of the mean keeps steps and walls out. Heights rounded to a step add step / sqrt(12). What an agency has smoothed or
 * filled does not show: the true scatter may be larger, never smaller. NaN where no cell has all its neighbours.
 */
export function gridNoiseM(grid: ElevationGrid, cells: readonly CellRun[]): number {
  const stride = Math.max(1, Math.ceil(cells.reduce((sum, { from, to }) => sum + to - from + 1, 0) / MOST_CELLS));
  const answers: number[] = [];
  const heights = new Set<number>();
  let seen = 0;
  for (const { row, from, to } of cells) {
    if (row < 1 || row >= grid.rows - 1) continue;
    for (let column = Math.max(from, 1); column <= Math.min(to, grid.columns - 2); column++) {
      if (seen++ % stride !== 0) continue;
      const at = row * grid.columns + column;
      const answer = Math.abs(maskAnswer(grid, at));
      if (Number.isNaN(answer)) continue;
      answers.push(answer);
      heights.add(grid.heightsM[at]);
    }
  }
  if (answers.length === 0) return Number.NaN;
  const scatterM = answers.toSorted((a, b) => a - b)[answers.length >> 1] / (6 * NORMAL_MEDIAN);
  const roundingM = stepOf([...heights]) / Math.sqrt(12);
  return Math.sqrt(scatterM * scatterM + roundingM * roundingM);
}

function maskAnswer({ columns, heightsM }: ElevationGrid, at: number): number {
  const bend = (k: number): number => heightsM[k - 1] - 2 * heightsM[k] + heightsM[k + 1];
  return bend(at - columns) - 2 * bend(at) + bend(at + columns);
}

/** The step that all heights are multiples of, as far as single precision tells; 0 where there is none. */
function stepOf(heightsM: readonly number[]): number {
  if (heightsM.length < LEAST_HEIGHTS) return 0;
  const isStep = (stepM: number): boolean =>
    heightsM.every(
      (heightM) => Math.abs(heightM - stepM * Math.round(heightM / stepM)) <= 1e-6 + 1.2e-7 * Math.abs(heightM),
    );
  return STEPS_M.find(isStep) ?? 0;
}
