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

/** Runs -> patches of runs that touch by an edge or a corner, each patch and the list ordered by row and column. */
export function cellPatches(runs: readonly CellRun[]): CellRun[][] {
  const ordered = runs.toSorted((a, b) => a.row - b.row || a.from - b.from);
  const parent = ordered.map((_, index) => index);
  const rootOf = (index: number): number => {
    let root = index;
    while (parent[root] !== root) root = parent[root];
    parent[index] = root;
    return root;
  };
  // `above` follows the runs of the row before; a run may touch several of them, and the last one may touch the next run too.
  let above = 0;
  ordered.forEach((run, index) => {
    while (ordered[above].row < run.row - 1) above++;
    while (ordered[above].row === run.row - 1 && ordered[above].to < run.from - 1) above++;
    const before = ordered[index - 1];
    if (before !== undefined && before.row === run.row && before.to >= run.from - 1)
      parent[rootOf(index)] = rootOf(index - 1);
    for (let k = above; ordered[k].row === run.row - 1 && ordered[k].from <= run.to + 1; k++) {
      parent[rootOf(index)] = rootOf(k);
    }
  });
  const patches = new Map<number, CellRun[]>();
  ordered.forEach((run, index) => {
    const root = rootOf(index);
    const patch = patches.get(root);
    if (patch === undefined) patches.set(root, [run]);
    else patch.push(run);
  });
  return [...patches.values()];
}

export function cellCount(runs: readonly CellRun[]): number {
  return runs.reduce((count, { from, to }) => count + to - from + 1, 0);
}

/** Runs and the cells round them (edge or corner) that pass a test, each cell once. */
export function widenedRuns(runs: readonly CellRun[], passes: (column: number, row: number) => boolean): CellRun[] {
  const around = [-1, 0, 1].flatMap((step) =>
    runs.map(({ row, from, to }) => ({ row: row + step, from: from - 1, to: to + 1 })),
  );
  const widened: CellRun[] = [];
  let reached = { row: Number.NaN, to: 0 };
  for (const { row, from, to } of around.toSorted((a, b) => a.row - b.row || a.from - b.from)) {
    const first = row === reached.row ? Math.max(from, reached.to + 1) : from;
    let start = first;
    for (let column = first; column <= to + 1; column++) {
      if (column <= to && passes(column, row)) continue;
      if (column > start) widened.push({ row, from: start, to: column - 1 });
      start = column + 1;
    }
    reached = { row, to: row === reached.row ? Math.max(to, reached.to) : to };
  }
  return widened;
}
