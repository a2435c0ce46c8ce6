import type { Polygon, Polyline, Ring } from '#geo-core/model/position.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { type ScanLines, scanLines } from './scan-lines.ts';
import { type SegmentGrid, segmentGrid } from './segment-grid.ts';

/** Directed segments a -> b in metres, four numbers each (ax, ay, bx, by); `group` says whose each one is. */
export type Segments = {
  readonly count: number;
  readonly abXy: Float64Array;
  readonly lengthM: Float64Array;
  readonly group: Int32Array;
};

/** Segments that can be asked which of them lie near and how often they wind around a place. */
export type IndexedSegments = Segments & {
  /** Made when first asked for, like `scan`. */
  readonly grid: SegmentGrid;
  readonly scan: ScanLines;
};

/** Closed rings (not repeated at the end) and open lines as one set; `group` counts lines in the order given. */
export function segmentsOf(lines: readonly (Ring | Polyline)[], closed: boolean): Segments {
  let count = 0;
  for (const line of lines) count += Math.max(0, line.length / 2 - (closed ? 0 : 1));
  const abXy = new Float64Array(count * 4);
  const lengthM = new Float64Array(count);
  const group = new Int32Array(count);
  let k = 0;
  for (let lineIndex = 0; lineIndex < lines.length; lineIndex++) {
    const line = lines[lineIndex];
    const last = closed ? line.length : line.length - 2;
    for (let i = 0; i < last; i += 2, k++) {
      const j = i + 2 === line.length ? 0 : i + 2;
      const [dx, dy] = [line[j] - line[i], line[j + 1] - line[i + 1]];
      abXy[4 * k] = line[i];
      abXy[4 * k + 1] = line[i + 1];
      abXy[4 * k + 2] = line[j];
      abXy[4 * k + 3] = line[j + 1];
      lengthM[k] = Math.sqrt(dx * dx + dy * dy);
      group[k] = lineIndex;
    }
  }
  return { count, abXy, lengthM, group };
}

export function indexed(segments: Segments): IndexedSegments {
  const { abXy, group, count, lengthM } = segments;
  let grid: SegmentGrid | undefined;
  let scan: ScanLines | undefined;
  return {
    count,
    abXy,
    lengthM,
    group,
    get grid() {
      grid ??= segmentGrid(abXy, count);
      return grid;
    },
    get scan() {
      scan ??= scanLines(abXy, group, count);
      return scan;
    },
  };
}

/** Every ring of polygons, outer before holes. */
export function outlinesOf(polygons: readonly Polygon[]): Ring[] {
  return polygons.flatMap((polygon) => [polygon.outer, ...polygon.holes]);
}

/**
 * Pairs i, k of a segment i of `segments` and a segment k of `others` that may come within `reachM` (one for all, or each its own)
 * of each other, flat: a superset, without those whose middles are too far apart for their lengths. Within one set every pair
 * is there once, i < k.
 */
export function pairsNear(segments: Segments, others: IndexedSegments, reachM: number | Float64Array): Int32Array {
  const { abXy: a, lengthM: aM, count } = segments;
  const { abXy: b, lengthM: bM, grid } = others;
  const isOneSet = a === b;
  let pairs = new Int32Array(8 * count + 2);
  let filled = 0;
  for (let i = 0; i < count; i++) {
    const at = 4 * i;
    const reach = typeof reachM === 'number' ? reachM : reachM[i];
    const twiceX = a[at] + a[at + 2];
    const twiceY = a[at + 1] + a[at + 3];
    const farM = 2 * reach + aM[i] + 2e-6;
    const many = grid.near(a[at], a[at + 1], a[at + 2], a[at + 3], reach);
    if (filled + 2 * many > pairs.length) {
      const longer = new Int32Array(2 * pairs.length + 2 * many);
      longer.set(pairs);
      pairs = longer;
    }
    for (let n = 0; n < many; n++) {
      const k = grid.found[n];
      if (isOneSet && k <= i) continue;
      const dx = twiceX - b[4 * k] - b[4 * k + 2];
      const dy = twiceY - b[4 * k + 1] - b[4 * k + 3];
      const twiceFarM = farM + bM[k];
      if (dx * dx + dy * dy > twiceFarM * twiceFarM) continue;
      pairs[filled++] = i;
      pairs[filled++] = k;
    }
  }
  return pairs.subarray(0, filled);
}

/** Distance from a point to the nearest of the segments, metres; infinite where there is none. */
export function distanceToSegmentsM({ abXy, grid, count }: IndexedSegments, x: number, y: number): number {
  if (count === 0) return Number.POSITIVE_INFINITY;
  for (let reachM = 0.01; ; reachM *= 8) {
    let nearestM = Number.POSITIVE_INFINITY;
    const many = grid.near(x, y, x, y, reachM);
    for (let n = 0; n < many; n++) {
      const at = 4 * grid.found[n];
      nearestM = Math.min(nearestM, pointSegmentM(x, y, abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3]));
    }
    if (nearestM <= reachM || !(reachM < 1e8)) return nearestM;
  }
}
