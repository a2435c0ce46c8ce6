/**
 * Where segments lie: a grid of square cells, each with the segments that pass it. Built and asked row by row, so that a
 * long slanting segment fills the cells it passes and not the box around it. Metres.
 *
 *     +---+---+---+---+
 *     |   |   | ##|###|      row by row: from where the segment enters the row to where it leaves it
 *     +---+---+---+---+
 *     |###|###|## |   |
 *     +---+---+---+---+
 */
export type SegmentGrid = {
  /** Calls `visit` with the segments that may come within `reachM` of a-b, each once, until it returns true; whether it did. */
  some(ax: number, ay: number, bx: number, by: number, reachM: number, visit: (segment: number) => boolean): boolean;
};

/** Rounding of the row arithmetic: a cell this near counts as passed. */
const ROUNDING_M = 1e-6;
const LEAST_CELL_M = 0.05;
const CELLS_PER_SEGMENT = 4;

/** Grid over `count` segments given flat, four numbers each. One that is not a number is nowhere. */
export function segmentGrid(abXy: Float64Array, count: number): SegmentGrid {
  if (count === 0) return { some: () => false };
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count * 4; i += 2) {
    const [x, y] = [abXy[i], abXy[i + 1]];
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  const [widthM, heightM] = [Math.max(0, maxX - minX), Math.max(0, maxY - minY)];
  const cellM = Math.max(
    LEAST_CELL_M,
    Math.sqrt((widthM * heightM) / (CELLS_PER_SEGMENT * count)),
    (widthM + heightM) / (CELLS_PER_SEGMENT * count + 16),
  );
  const columns = Math.floor(widthM / cellM) + 1;
  const rows = Math.floor(heightM / cellM) + 1;

  let [firstColumn, lastColumn] = [0, -1];
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - minY) / cellM)));
  /** Sets the columns that the segment a-b, grown by reachM, passes in a row; none where first > last. */
  function passRow(row: number, ax: number, ay: number, bx: number, by: number, reachM: number): void {
    let [fromX, toX] = ax < bx ? [ax, bx] : [bx, ax];
    if (by !== ay) {
      const perY = (bx - ax) / (by - ay);
      const atLow = ax + (minY + row * cellM - reachM - ay) * perY;
      const atHigh = ax + (minY + (row + 1) * cellM + reachM - ay) * perY;
      fromX = Math.max(fromX, Math.min(atLow, atHigh));
      toX = Math.min(toX, Math.max(atLow, atHigh));
    }
    firstColumn = Math.max(0, Math.floor((fromX - reachM - minX) / cellM));
    lastColumn = Math.min(columns - 1, Math.floor((toX + reachM - minX) / cellM));
  }

  const starts = new Int32Array(columns * rows + 1);
  function eachCell(visit: (cell: number, segment: number) => void): void {
    for (let k = 0; k < count; k++) {
      const [ax, ay, bx, by] = [abXy[4 * k], abXy[4 * k + 1], abXy[4 * k + 2], abXy[4 * k + 3]];
      if (Number.isNaN(ax + ay + bx + by)) continue;
      const lastRow = rowOf(Math.max(ay, by) + ROUNDING_M);
      for (let row = rowOf(Math.min(ay, by) - ROUNDING_M); row <= lastRow; row++) {
        passRow(row, ax, ay, bx, by, ROUNDING_M);
        for (let column = firstColumn; column <= lastColumn; column++) visit(row * columns + column, k);
      }
    }
  }
  eachCell((cell) => {
    starts[cell + 1]++;
  });
  for (let cell = 0; cell < columns * rows; cell++) starts[cell + 1] += starts[cell];
  const items = new Int32Array(starts[columns * rows]);
  const filled = starts.slice();
  eachCell((cell, segment) => {
    items[filled[cell]++] = segment;
  });

  const seenIn = new Int32Array(count);
  let question = 0;
  return {
    some(ax, ay, bx, by, reachM, visit) {
      const reach = reachM + ROUNDING_M;
      const [lowY, highY] = ay < by ? [ay - reach, by + reach] : [by - reach, ay + reach];
      if (highY < minY || lowY > maxY || Math.max(ax, bx) + reach < minX || Math.min(ax, bx) - reach > maxX)
        return false;
      const own = ++question;
      const lastRow = rowOf(highY);
      for (let row = rowOf(lowY); row <= lastRow; row++) {
        passRow(row, ax, ay, bx, by, reach);
        const [first, last] = [row * columns + firstColumn, row * columns + lastColumn];
        for (let i = firstColumn <= lastColumn ? starts[first] : 0, end = starts[last + 1]; i < end; i++) {
          const segment = items[i];
          if (seenIn[segment] === own) continue;
          seenIn[segment] = own;
          if (visit(segment)) return true;
        }
      }
      return false;
    },
  };
}
