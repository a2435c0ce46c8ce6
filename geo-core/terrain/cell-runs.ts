/** Cells of one row side by side: columns `from` to `to`, both included. */
export type CellRun = { readonly row: number; readonly from: number; readonly to: number };

/**
 * Runs of cells whose centre lies inside rings given in cell coordinates (the centre of column c, row r is (c, r); even-odd, so
 * holes count as holes). A centre on an edge counts once for two polygons that share it. Work grows with edges and rows, not cells.
 */
export function cellRunsInside(rings: readonly Float64Array[]): CellRun[] {
  const crossings = new Map<number, number[]>();
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const isDown = ring[j + 1] <= ring[i + 1];
      const [topX, topY, bottomX, bottomY] = isDown
        ? [ring[j], ring[j + 1], ring[i], ring[i + 1]]
        : [ring[i], ring[i + 1], ring[j], ring[j + 1]];
      for (let row = Math.ceil(topY); row < bottomY; row++) {
        const x = topX + ((bottomX - topX) * (row - topY)) / (bottomY - topY);
        const inRow = crossings.get(row);
        if (inRow === undefined) crossings.set(row, [x]);
        else inRow.push(x);
      }
    }
  }
  const runs: CellRun[] = [];
  for (const row of [...crossings.keys()].toSorted((a, b) => a - b)) {
    const inRow = (crossings.get(row) ?? []).toSorted((a, b) => a - b);
    for (let k = 0; k + 1 < inRow.length; k += 2) {
      const from = Math.ceil(inRow[k]);
      const to = Math.ceil(inRow[k + 1]) - 1;
      if (to >= from) runs.push({ row, from, to });
    }
  }
  return runs;
}
