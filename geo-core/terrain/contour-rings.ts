/**
 * Outlines of the ground where a value is over a limit, from the values at the centres of cells (marching squares, W. E. Lorensen
 * and H. E. Cline 1987 in the plane, from memory): straight pieces between the sides of every square of four centres, their ends where
 * the value, taken linearly, is the limit. Rings are closed, high ground on the left, in cell coordinates with y up: the centre
 * of column c, row r is (c, -r). NaN counts as ground not over the limit, whose border runs half way to the known cell: what is
 * not known is not claimed. Where two opposite corners are over the limit the mean of the four decides whether they join.
 *
 *     corners 0 1     sides     0
 *             3 2             3   1
 *                               2
 */
export function contourRings(
  valueAt: (column: number, row: number) => number,
  columns: number,
  rows: number,
  limit: number,
): Float64Array[] {
  // A ring of cells without a value closes every outline: squares run from -1 to columns - 1.
  const next = new Map<number, { readonly to: number; readonly x: number; readonly y: number }>();
  const at = (column: number, row: number): number =>
    column < 0 || row < 0 || column >= columns || row >= rows ? Number.NaN : valueAt(column, row);
  for (let row = -1; row < rows; row++) {
    let [west, southWest] = [at(-1, row), at(-1, row + 1)];
    for (let column = -1; column < columns; column++) {
      const corners = [west, at(column + 1, row), at(column + 1, row + 1), southWest];
      [west, southWest] = [corners[1], corners[2]];
      for (const [from, to] of piecesOf(corners, limit)) {
        const { x, y } = crossing(corners, from, column, row, limit);
        next.set(sideKey(from, column, row, columns), { to: sideKey(to, column, row, columns), x, y });
      }
    }
  }
  return ringsFrom(next);
}

/** Pieces from side to side with the high ground on the left, by which corners are high. */
function piecesOf(corners: readonly number[], limit: number): readonly (readonly [number, number])[] {
  let high = 0;
  for (let k = 0; k < 4; k++) if (corners[k] > limit) high += 1 << k;
  const joins = (corners[0] + corners[1] + corners[2] + corners[3]) / 4 > limit;
  if (high === 5 && joins) return JOINED_5;
  if (high === 10 && joins) return JOINED_10;
  return PIECES[high];
}

const PIECES: readonly (readonly (readonly [number, number])[])[] = [
  [],
  [[3, 0]],
  [[0, 1]],
  [[3, 1]],
  [[1, 2]],
  [
    [3, 0],
    [1, 2],
  ],
  [[0, 2]],
  [[3, 2]],
  [[2, 3]],
  [[2, 0]],
  [
    [0, 1],
    [2, 3],
  ],
  [[2, 1]],
  [[1, 3]],
  [[1, 0]],
  [[0, 3]],
  [],
];
const JOINED_5 = [
  [1, 0],
  [3, 2],
] as const;
const JOINED_10 = [
  [0, 3],
  [2, 1],
] as const;

/** Where the limit lies on a side of the square whose upper left corner is a cell. */
function crossing(
  corners: readonly number[],
  side: number,
  column: number,
  row: number,
  limit: number,
): { readonly x: number; readonly y: number } {
  const a = corners[side];
  const b = corners[(side + 1) % 4];
  const share = Number.isNaN(a) || Number.isNaN(b) ? 0.5 : (limit - a) / (b - a);
  if (side === 0) return { x: column + share, y: -row };
  if (side === 1) return { x: column + 1, y: -row - share };
  if (side === 2) return { x: column + 1 - share, y: -row - 1 };
  return { x: column, y: -row - 1 + share };
}

/** One number for each side of the whole grid, the same from both squares beside it. */
function sideKey(side: number, column: number, row: number, columns: number): number {
  const wide = columns + 2;
  const [c, r] = [side === 1 ? column + 1 : column, side === 2 ? row + 1 : row];
  return 2 * ((r + 1) * wide + c + 1) + (side % 2);
}

function ringsFrom(next: Map<number, { readonly to: number; readonly x: number; readonly y: number }>): Float64Array[] {
  const rings: Float64Array[] = [];
  for (const start of [...next.keys()]) {
    const ring: number[] = [];
    for (let key = start, step = next.get(key); step !== undefined; step = next.get(key)) {
      ring.push(step.x, step.y);
      next.delete(key);
      key = step.to;
    }
    if (ring.length >= 6) rings.push(Float64Array.from(ring));
  }
  return rings;
}
