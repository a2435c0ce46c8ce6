import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { contourRings } from '#geo-core/terrain/contour-rings.ts';
import type { MowingSimulation } from './simulate-mowing.ts';

/** Ground that the blades went over at least so often, as a multiple of the mean. */
export type VisitBand = { readonly fromShare: number; readonly polygons: readonly Polygon[] };

const SHARES = [0.5, 0.8, 1.2, 1.6, 2.2];
/** Visits are averaged over squares of this side, metres, or larger where there would be too many. */
const SQUARE_M = 0.6;
const SQUARES_MAX = 20_000;

/** Mean visits of squares of `squareM`, row by row northward from the south-west corner; NaN where no cell is mown ground. */
type SquareVisits = {
  readonly squareM: number;
  readonly columns: number;
  readonly rows: number;
  readonly meanVisits: Float64Array;
};

export function squareVisits({ cellM, columns, rows, counts, wanted }: MowingSimulation['visits']): SquareVisits {
  const side = Math.max(1, Math.round(SQUARE_M / cellM), Math.ceil(Math.sqrt((columns * rows) / SQUARES_MAX)));
  const [across, up] = [Math.ceil(columns / side), Math.ceil(rows / side)];
  const [sums, cells] = [new Float64Array(across * up), new Float64Array(across * up)];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const cell = row * columns + column;
      if (wanted[cell] === 0) continue;
      const square = Math.floor(row / side) * across + Math.floor(column / side);
      sums[square] += counts[cell];
      cells[square]++;
    }
  }
  const meanVisits = sums.map((sum, square) => (cells[square] === 0 ? Number.NaN : sum / cells[square]));
  return { squareM: side * cellM, columns: across, rows: up, meanVisits };
}

/**
 * Visits of a simulation as a drawing shades them: contours where squares are visited half, four fifths, ... as often as all are on average,
 * clipped to the ground.
 */
export function visitBands(
  { visits }: Pick<MowingSimulation, 'visits'>,
  ground: readonly Polygon[],
  gridM: number,
): VisitBand[] {
  const { squareM, columns, rows, meanVisits } = squareVisits(visits);
  const known = meanVisits.filter((mean) => !Number.isNaN(mean));
  const all = known.reduce((sum, mean) => sum + mean, 0) / known.length;
  if (!(all > 0)) return [];
  const { westM, southM } = visits;
  const outlines = (fromShare: number): Ring[] =>
    contourRings((column, row) => meanVisits[(rows - 1 - row) * columns + column], columns, rows, fromShare * all).map(
      (ring) =>
        ring.map((value, i) =>
          i % 2 === 0 ? westM + (value + 0.5) * squareM : southM + (value + rows - 0.5) * squareM,
        ),
    );
  return SHARES.map((fromShare) => ({
    fromShare,
    polygons: polygonsFromRings(kernel().intersection(outlines(fromShare), ringsOf(ground), gridM)),
  })).filter(({ polygons }) => polygons.length > 0);
}
