import type { Ring } from '#geo-core/model/position.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';

/** Where a straight run ends: how far, and which segment of the wire. */
export type Ahead = { distanceM: number; segment: number };
export type WireAhead = {
  /** Fills `found` with the nearest wire from (x, y) in the unit direction (ux, uy); infinite where nothing lies ahead. */
  readonly look: (x: number, y: number, ux: number, uy: number, found: Ahead) => void;
  /** Left normal of a segment, into the ground that its ring goes round: unit x and y. */
  readonly inward: (segment: number) => readonly [number, number];
};

/** Two buckets a segment keep both the lists and the way through them short. */
const BUCKETS_PER_SEGMENT = 2;
const BUCKETS_MAX = 250_000;

/**
 * Straight runs against the rings of the ground: segments lie in the square buckets of a grid that they cross, and a run looks through its
 * buckets in order (J. Amanatides and A. Woo, A fast voxel traversal algorithm for ray tracing, 1987, from memory). Built once, a
 * run takes about a microsecond.
 */
export function wireAhead(rings: readonly Ring[]): WireAhead {
  const at = ringSegments(rings);
  const count = at.length / 4;
  const [westM, southM, bucketM, columns, rows] = bucketsFor(at, count);
  const columnOf = (x: number): number => Math.min(columns - 1, Math.max(0, Math.floor((x - westM) / bucketM)));
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor((y - southM) / bucketM)));
  const { first, members } = fillBuckets(at, count, columns, rows, columnOf, rowOf);

  function look(x: number, y: number, ux: number, uy: number, found: Ahead): void {
    found.distanceM = Number.POSITIVE_INFINITY;
    found.segment = -1;
    let [column, row] = [columnOf(x), rowOf(y)];
    const [stepX, stepY] = [ux < 0 ? -1 : 1, uy < 0 ? -1 : 1];
    let toX = ux === 0 ? Infinity : (westM + (column + (ux > 0 ? 1 : 0)) * bucketM - x) / ux;
    let toY = uy === 0 ? Infinity : (southM + (row + (uy > 0 ? 1 : 0)) * bucketM - y) / uy;
    const [perX, perY] = [bucketM / Math.abs(ux), bucketM / Math.abs(uy)];
    while (column >= 0 && column < columns && row >= 0 && row < rows) {
      const bucket = row * columns + column;
      for (let k = first[bucket]; k < first[bucket + 1]; k++) {
        const i = 4 * members[k];
        const [dx, dy] = [at[i + 2] - at[i], at[i + 3] - at[i + 1]];
        const across = ux * dy - uy * dx;
        // Only wires met from the inside: the ground lies on their left.
        if (across <= 0) continue;
        const [fx, fy] = [at[i] - x, at[i + 1] - y];
        const share = (fx * uy - fy * ux) / across;
        const distanceM = (fx * dy - fy * dx) / across;
        if (share < 0 || share > 1 || distanceM < 0 || distanceM >= found.distanceM) continue;
        found.distanceM = distanceM;
        found.segment = members[k];
      }
      const leaveM = Math.min(toX, toY);
      if (found.distanceM <= leaveM) return;
      if (toX <= toY) {
        column += stepX;
        toX += perX;
      } else {
        row += stepY;
        toY += perY;
      }
    }
  }

  return {
    look,
    inward(segment) {
      const [dx, dy] = [at[4 * segment + 2] - at[4 * segment], at[4 * segment + 3] - at[4 * segment + 1]];
      const length = Math.sqrt(dx * dx + dy * dy);
      return [-dy / length, dx / length];
    },
  };
}

/** West, south, side, columns and rows of the buckets. */
function bucketsFor(at: Float64Array, count: number): [number, number, number, number, number] {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < at.length; i += 2) {
    [minX, maxX] = [Math.min(minX, at[i]), Math.max(maxX, at[i])];
    [minY, maxY] = [Math.min(minY, at[i + 1]), Math.max(maxY, at[i + 1])];
  }
  if (count === 0) return [0, 0, 1, 1, 1];
  const most = Math.min(BUCKETS_MAX, BUCKETS_PER_SEGMENT * count + 16);
  const [widthM, heightM] = [maxX - minX, maxY - minY];
  const bucketM = Math.max(Math.sqrt((widthM * heightM) / most), (widthM + heightM) / most, 1e-3);
  return [minX, minY, bucketM, Math.floor(widthM / bucketM) + 1, Math.floor(heightM / bucketM) + 1];
}

/** The segments of every bucket, one after the other: those of bucket b from `first[b]` to before `first[b + 1]`. */
function fillBuckets(
  at: Float64Array,
  count: number,
  columns: number,
  rows: number,
  columnOf: (x: number) => number,
  rowOf: (y: number) => number,
): { readonly first: Int32Array; readonly members: Int32Array } {
  const each = (visit: (bucket: number, segment: number) => void): void => {
    for (let segment = 0; segment < count; segment++) {
      const [ax, ay, bx, by] = at.subarray(4 * segment, 4 * segment + 4);
      for (let row = rowOf(Math.min(ay, by)); row <= rowOf(Math.max(ay, by)); row++)
        for (let column = columnOf(Math.min(ax, bx)); column <= columnOf(Math.max(ax, bx)); column++)
          visit(row * columns + column, segment);
    }
  };
  const first = new Int32Array(columns * rows + 1);
  each((bucket) => first[bucket + 1]++);
  for (let bucket = 0; bucket < columns * rows; bucket++) first[bucket + 1] += first[bucket];
  const next = first.slice();
  const members = new Int32Array(first[columns * rows]);
  each((bucket, segment) => {
    members[next[bucket]++] = segment;
  });
  return { first, members };
}
