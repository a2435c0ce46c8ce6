import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { boxOf } from '#geo-core/plane/polygons.ts';
import { rasterise } from '#geo-core/plane/rasterise.ts';
import { fieldTree } from './field-tree.ts';

/** Field over ground, at the centres of square cells: cell (column, row) at row * columns + column, rows northward. */
export type FieldMap = {
  readonly westM: number;
  readonly southM: number;
  readonly cellM: number;
  readonly columns: number;
  readonly rows: number;
  /** nT at 1 A; NaN off the ground. */
  readonly fieldNt: Float32Array;
  /** Places where the wires were summed; the rest lies between such places. */
  readonly summed: number;
};

export type FieldMapOptions = {
  /** Height of the sensor over the wires, metres. */
  readonly heightM: number;
  /** Most cells; they grow until they are no more. */
  readonly cellsMax?: number;
  readonly leastCellM?: number;
};

/** 40,000 cells: 200 across a square lawn. */
const CELLS_MAX = 40_000;
const LEAST_CELL_M = 0.1;
/** Side of the largest square that is filled from its rim, cells. */
const LARGEST_SQUARE = 16;
/** A square is filled by a parabola each way where its middles differ from what its corners say by less than this share, or by that little. */
const FILL_SHARE = 0.02;
const FILL_NT = 0.1;

/**
 * The field of wires over ground, quick enough for a map: squares of cells are halved until the field between their corners is plain
 * (quadtree), and each sum over the wires goes by `fieldTree`. Ground without width gives no cells.
 */
export function fieldMap(
  lines: readonly Polyline[],
  ground: readonly Polygon[],
  { heightM, cellsMax = CELLS_MAX, leastCellM = LEAST_CELL_M }: FieldMapOptions,
): FieldMap | undefined {
  const box = groundBox(ground);
  if (box === undefined || lines.length === 0) return undefined;
  const [westM, southM, widthM, heightOfBoxM] = box;
  const cellM = Math.max(
    leastCellM,
    Math.sqrt((widthM * heightOfBoxM) / cellsMax),
    Math.max(widthM, heightOfBoxM) / cellsMax,
  );
  const columns = Math.max(1, Math.ceil(widthM / cellM));
  const rows = Math.max(1, Math.ceil(heightOfBoxM / cellM));
  const isGround = rasterise(ground, { westM, southM, cellM, columns, rows });
  const { fieldNt: sum } = fieldTree(lines);
  const fieldNt = new Float32Array(columns * rows).fill(Number.NaN);
  let summed = 0;
  const valueAt = (column: number, row: number): number => {
    const cell = row * columns + column;
    if (Number.isNaN(fieldNt[cell])) {
      fieldNt[cell] = sum(westM + (column + 0.5) * cellM, southM + (row + 0.5) * cellM, heightM);
      summed++;
    }
    return fieldNt[cell];
  };
  fillSquares(columns, rows, isGround, valueAt, fieldNt);
  for (let cell = 0; cell < fieldNt.length; cell++) if (isGround[cell] === 0) fieldNt[cell] = Number.NaN;
  return { westM, southM, cellM, columns, rows, fieldNt, summed };
}

function groundBox(ground: readonly Polygon[]): [number, number, number, number] | undefined {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { outer } of ground) {
    const [west, south, east, north] = boxOf(outer);
    [minX, minY, maxX, maxY] = [
      Math.min(minX, west),
      Math.min(minY, south),
      Math.max(maxX, east),
      Math.max(maxY, north),
    ];
  }
  return maxX > minX && maxY > minY ? [minX, minY, maxX - minX, maxY - minY] : undefined;
}

type ValueAt = (column: number, row: number) => number;

/** From the first to the last cell of a square, and its middle, along one side. */
type Side = readonly [first: number, middle: number, last: number];

/** Squares share the cells of their rims: from (column, row) to `LARGEST_SQUARE` cells on, or to the last cell. */
function fillSquares(
  columns: number,
  rows: number,
  isGround: Uint8Array,
  valueAt: ValueAt,
  fieldNt: Float32Array,
): void {
  const holdsGround = ([c0, , c1]: Side, [r0, , r1]: Side): boolean => {
    for (let row = r0; row <= r1; row++)
      for (let cell = row * columns + c0; cell <= row * columns + c1; cell++) if (isGround[cell] === 1) return true;
    return false;
  };
  const fill = (across: Side, up: Side): void => {
    if (!holdsGround(across, up)) return;
    const nine = up.map((row) => across.map((column) => valueAt(column, row)));
    if (across[2] - across[0] <= 2 && up[2] - up[0] <= 2) return;
    if (isPlain(nine) && across[2] - across[0] > 1 && up[2] - up[0] > 1) {
      for (let row = up[0]; row <= up[2]; row++) {
        for (let column = across[0]; column <= across[2]; column++) {
          const cell = row * columns + column;
          if (!Number.isNaN(fieldNt[cell])) continue;
          fieldNt[cell] = along(
            nine.map((line) => along(line, column, across)),
            row,
            up,
          );
        }
      }
      return;
    }
    for (const one of halves(across)) for (const other of halves(up)) fill(one, other);
  };
  for (let row = 0; row < rows; row += LARGEST_SQUARE)
    for (let column = 0; column < columns; column += LARGEST_SQUARE)
      fill(
        side(column, Math.min(columns - 1, column + LARGEST_SQUARE)),
        side(row, Math.min(rows - 1, row + LARGEST_SQUARE)),
      );
}

function side(first: number, last: number): Side {
  return [first, (first + last) >> 1, last];
}

function halves([first, middle, last]: Side): Side[] {
  return last - first <= 1 ? [side(first, last)] : [side(first, middle), side(middle, last)];
}

/** True where the middles of the square and of its sides are nearly what its corners say. */
function isPlain([[sw, s, se], [w, m, e], [nw, n, ne]]: readonly (readonly number[])[]): boolean {
  const isNear = (trueNt: number, saidNt: number): boolean =>
    Math.abs(saidNt - trueNt) <= Math.max(FILL_NT, FILL_SHARE * Math.abs(trueNt));
  return (
    isNear(s, (sw + se) / 2) &&
    isNear(n, (nw + ne) / 2) &&
    isNear(w, (sw + nw) / 2) &&
    isNear(e, (se + ne) / 2) &&
    isNear(m, (sw + se + nw + ne) / 4)
  );
}

/** The parabola through three values (Lagrange). */
function along([a, b, c]: readonly number[], at: number, [first, middle, last]: Side): number {
  const [fromFirst, fromMiddle, fromLast] = [at - first, at - middle, at - last];
  return (
    (a * fromMiddle * fromLast) / ((first - middle) * (first - last)) +
    (b * fromFirst * fromLast) / ((middle - first) * (middle - last)) +
    (c * fromFirst * fromMiddle) / ((last - first) * (last - middle))
  );
}
