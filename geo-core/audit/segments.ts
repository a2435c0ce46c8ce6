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
export type IndexedSegments = Segments & { readonly grid: SegmentGrid; readonly scan: ScanLines };

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
  const { abXy, group, count } = segments;
  return { ...segments, grid: segmentGrid(abXy, count), scan: scanLines(abXy, group, count) };
}

/** Every ring of polygons, outer before holes. */
export function outlinesOf(polygons: readonly Polygon[]): Ring[] {
  return polygons.flatMap((polygon) => [polygon.outer, ...polygon.holes]);
}

/**
 * Calls `visit` for every segment i of `segments` and every k of `others` that may come within `reachM` of it: a superset,
 * without those whose middles are too far apart for their lengths. Within one set every pair is visited once, i < k.
 */
export function eachPairNear(
  segments: Segments,
  others: IndexedSegments,
  reachM: number,
  visit: (i: number, k: number) => void,
): void {
  const { abXy: a, lengthM: aM } = segments;
  const { abXy: b, lengthM: bM } = others;
  const isOneSet = a === b;
  let [i, twiceX, twiceY, farM] = [0, 0, 0, 0];
  const sieve = (k: number): boolean => {
    if (isOneSet && k <= i) return false;
    const dx = twiceX - b[4 * k] - b[4 * k + 2];
    const dy = twiceY - b[4 * k + 1] - b[4 * k + 3];
    const twiceFarM = farM + bM[k];
    if (dx * dx + dy * dy <= twiceFarM * twiceFarM) visit(i, k);
    return false;
  };
  for (; i < segments.count; i++) {
    const at = 4 * i;
    twiceX = a[at] + a[at + 2];
    twiceY = a[at + 1] + a[at + 3];
    farM = 2 * reachM + aM[i] + 2e-6;
    others.grid.some(a[at], a[at + 1], a[at + 2], a[at + 3], reachM, sieve);
  }
}

/** Distance from a point to the nearest of the segments, metres; infinite where there is none. */
export function distanceToSegmentsM({ abXy, grid, count }: IndexedSegments, x: number, y: number): number {
  if (count === 0) return Number.POSITIVE_INFINITY;
  for (let reachM = 0.01; ; reachM *= 8) {
    let nearestM = Number.POSITIVE_INFINITY;
    const visit = (k: number): boolean => {
      const at = 4 * k;
      nearestM = Math.min(nearestM, pointSegmentM(x, y, abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3]));
      return false;
    };
    grid.some(x, y, x, y, reachM, visit);
    if (nearestM <= reachM || !(reachM < 1e8)) return nearestM;
  }
}
