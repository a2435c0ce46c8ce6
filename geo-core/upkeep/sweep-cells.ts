import type { CellGrid } from '#geo-core/plane/rasterise.ts';

/**
 * Counts one visit more (up to 65,535) for every cell whose centre a disc goes over on its straight way from a to b, and returns how
 * many cells it was the first for. `wanted` is 1 for the cells that count. Row by row: a disc swept along a straight way is convex, so it
 * covers one stretch of every row.
 */
export function sweepCells(
  grid: CellGrid,
  visits: Uint16Array,
  wanted: Uint8Array,
  radiusM: number,
  [ax, ay, bx, by]: readonly [number, number, number, number],
): number {
  const { westM, southM, cellM, columns, rows } = grid;
  const [dx, dy] = [bx - ax, by - ay];
  const lengthM = Math.sqrt(dx * dx + dy * dy);
  const [ux, uy] = lengthM > 0 ? [dx / lengthM, dy / lengthM] : [1, 0];
  const firstRow = Math.max(0, Math.ceil((Math.min(ay, by) - radiusM - southM) / cellM - 0.5));
  const lastRow = Math.min(rows - 1, Math.floor((Math.max(ay, by) + radiusM - southM) / cellM - 0.5));
  let fresh = 0;
  for (let row = firstRow; row <= lastRow; row++) {
    const y = southM + (row + 0.5) * cellM;
    let [from, to] = [Infinity, -Infinity];
    const see = (low: number, high: number): void => {
      if (low > high) return;
      from = Math.min(from, low);
      to = Math.max(to, high);
    };
    const [overA, overB] = [radiusM * radiusM - (y - ay) * (y - ay), radiusM * radiusM - (y - by) * (y - by)];
    if (overA >= 0) see(ax - Math.sqrt(overA), ax + Math.sqrt(overA));
    if (overB >= 0) see(bx - Math.sqrt(overB), bx + Math.sqrt(overB));
    // Beside the way: -radius <= ux (y - ay) - uy (x - ax) <= radius, from its beginning to its end.
    const [acrossLow, acrossHigh] = between(-uy, ux * (y - ay), -radiusM, radiusM);
    const [alongLow, alongHigh] = between(ux, uy * (y - ay), 0, lengthM);
    see(ax + Math.max(acrossLow, alongLow), ax + Math.min(acrossHigh, alongHigh));
    const first = Math.max(0, Math.ceil((from - westM) / cellM - 0.5));
    const last = Math.min(columns - 1, Math.floor((to - westM) / cellM - 0.5));
    for (let cell = row * columns + first; cell <= row * columns + last; cell++) {
      if (wanted[cell] === 0) continue;
      if (visits[cell] === 0) fresh++;
      if (visits[cell] < 65_535) visits[cell]++;
    }
  }
  return fresh;
}

/** The d with low <= slope d + offset <= high. */
function between(slope: number, offset: number, low: number, high: number): readonly [number, number] {
  if (slope === 0) return offset >= low && offset <= high ? [-Infinity, Infinity] : [Infinity, -Infinity];
  const [one, other] = [(low - offset) / slope, (high - offset) / slope];
  return one < other ? [one, other] : [other, one];
}
