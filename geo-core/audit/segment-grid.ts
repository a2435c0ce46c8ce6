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
  /** How many segments may come within `reachM` of a-b: each stands once at the beginning of `found`, until the next question. */
  near(ax: number, ay: number, bx: number, by: number, reachM: number): number;
  readonly found: Int32Array;
};

/** Rounding of the row arithmetic: a cell this near counts as passed. */
const ROUNDING_M = 1e-6;
const LEAST_CELL_M = 0.05;
const CELLS_PER_SEGMENT = 4;

/** Grid over `count` segments given flat, four numbers each. One that is not a number is nowhere. */
export function segmentGrid(abXy: Float64Array, count: number): SegmentGrid {
  if (count === 0) return { near: () => 0, found: new Int32Array(0) };
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count * 4; i += 2) {
    const x = abXy[i];
    const y = abXy[i + 1];
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  const widthM = Math.max(0, maxX - minX);
  const heightM = Math.max(0, maxY - minY);
  const cellM = Math.max(
    LEAST_CELL_M,
    Math.sqrt((widthM * heightM) / (CELLS_PER_SEGMENT * count)),
    (widthM + heightM) / (CELLS_PER_SEGMENT * count + 16),
  );
  const columns = Math.floor(widthM / cellM) + 1;
  const rows = Math.floor(heightM / cellM) + 1;

  let firstColumn = 0;
  let lastColumn = -1;
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - minY) / cellM)));
  /** Sets the columns that the segment a-b, grown by reachM, passes in a row; none where first > last. */
  function passRow(row: number, ax: number, ay: number, bx: number, by: number, reachM: number): void {
    let fromX = Math.min(ax, bx);
    let toX = Math.max(ax, bx);
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

  // Twice over all cells: the first time counts what lies in each, the second puts it there.
  const starts = new Int32Array(columns * rows + 1);
  let items = new Int32Array(0);
  for (let isFilling = false; ; isFilling = true) {
    for (let k = 0; k < count; k++) {
      const ax = abXy[4 * k];
      const ay = abXy[4 * k + 1];
      const bx = abXy[4 * k + 2];
      const by = abXy[4 * k + 3];
      if (Number.isNaN(ax + ay + bx + by)) continue;
      const lastRow = rowOf(Math.max(ay, by) + ROUNDING_M);
      for (let row = rowOf(Math.min(ay, by) - ROUNDING_M); row <= lastRow; row++) {
        passRow(row, ax, ay, bx, by, ROUNDING_M);
        for (let cell = row * columns + firstColumn; cell <= row * columns + lastColumn; cell++) {
          if (isFilling) items[--starts[cell]] = k;
          else starts[cell]++;
        }
      }
    }
    if (isFilling) break;
    for (let cell = 0; cell < columns * rows; cell++) starts[cell + 1] += starts[cell];
    items = new Int32Array(starts[columns * rows]);
  }

  const seenIn = new Int32Array(count);
  const found = new Int32Array(count);
  let question = 0;
  return {
    found,
    near(ax, ay, bx, by, reachM) {
      const reach = reachM + ROUNDING_M;
      const lowY = Math.min(ay, by) - reach;
      const highY = Math.max(ay, by) + reach;
      if (highY < minY || lowY > maxY || Math.max(ax, bx) + reach < minX || Math.min(ax, bx) - reach > maxX) return 0;
      question++;
      let many = 0;
      const lastRow = rowOf(highY);
      for (let row = rowOf(lowY); row <= lastRow; row++) {
        passRow(row, ax, ay, bx, by, reach);
        if (firstColumn > lastColumn) continue;
        const end = starts[row * columns + lastColumn + 1];
        for (let i = starts[row * columns + firstColumn]; i < end; i++) {
          const segment = items[i];
          if (seenIn[segment] === question) continue;
          seenIn[segment] = question;
          found[many++] = segment;
        }
      }
      return many;
    },
  };
}
