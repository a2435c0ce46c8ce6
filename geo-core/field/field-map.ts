import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { boxOf } from '#geo-core/plane/polygons.ts';
import { rasterise } from '#geo-core/plane/rasterise.ts';
import { fieldOfWiresNt } from './biot-savart.ts';

/** Field over ground, at the centres of square cells: cell (column, row) at row * columns + column, rows northward. */
export type FieldMap = {
  readonly westM: number;
  readonly southM: number;
  readonly cellM: number;
  readonly columns: number;
  readonly rows: number;
  /** nT at 1 A; NaN off the ground. */
  readonly fieldNt: Float32Array;
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
/**
 * The field of wires over ground, summed exactly at every cell: a wire of 50 segments costs a tenth of a microsecond a cell, one of
 * 1,600 five. Ground without width gives no cells.
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
  const fieldNt = new Float32Array(columns * rows).fill(Number.NaN);
  for (let cell = 0; cell < fieldNt.length; cell++) {
    if (isGround[cell] === 0) continue;
    const x = westM + ((cell % columns) + 0.5) * cellM;
    const y = southM + (Math.floor(cell / columns) + 0.5) * cellM;
    fieldNt[cell] = fieldOfWiresNt(lines, x, y, heightM);
  }
  return { westM, southM, cellM, columns, rows, fieldNt };
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
