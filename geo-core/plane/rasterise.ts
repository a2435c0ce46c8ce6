import type { Polygon } from '#geo-core/model/position.ts';
import { ringsOf } from './polygons.ts';

/** Square cells, rows northward from the south-west corner: cell (column, row) at row * columns + column. Metres. */
export type CellGrid = {
  readonly westM: number;
  readonly southM: number;
  readonly cellM: number;
  readonly columns: number;
  readonly rows: number;
};

/** 1 for every cell whose centre lies in the polygons (disjoint, clean), else 0: one line through the centres of every row, even-odd. */
export function rasterise(polygons: readonly Polygon[], { westM, southM, cellM, columns, rows }: CellGrid): Uint8Array {
  const inside = new Uint8Array(columns * rows);
  const crossings: number[][] = Array.from({ length: rows }, () => []);
  const rowOf = (y: number): number => (y - southM) / cellM - 0.5;
  for (const ring of ringsOf(polygons)) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const [from, to] = [rowOf(Math.min(ring[j + 1], ring[i + 1])), rowOf(Math.max(ring[j + 1], ring[i + 1]))];
      const slope = (ring[i] - ring[j]) / (ring[i + 1] - ring[j + 1]);
      for (let row = Math.max(0, Math.ceil(from)); row < Math.min(rows, Math.ceil(to)); row++) {
        crossings[row].push(ring[j] + (southM + (row + 0.5) * cellM - ring[j + 1]) * slope);
      }
    }
  }
  for (let row = 0; row < rows; row++) {
    const across = crossings[row].sort((a, b) => a - b);
    for (let k = 0; k + 1 < across.length; k += 2) {
      const first = Math.max(0, Math.ceil((across[k] - westM) / cellM - 0.5));
      const last = Math.min(columns, Math.ceil((across[k + 1] - westM) / cellM - 0.5));
      if (last > first) inside.fill(1, row * columns + first, row * columns + last);
    }
  }
  return inside;
}
