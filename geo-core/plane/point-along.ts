import type { PlanePoint, Polyline } from '#geo-core/model/position.ts';

/**
 * The point of a line at a chainage, metres. `chainageM[i]` is the chainage of vertex i, ascending; a vertex is met exactly,
 * chainages beyond the ends give the ends.
 */
export function pointAlong(line: Polyline, chainageM: Float64Array, atM: number): PlanePoint {
  let low = 0;
  let high = chainageM.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (chainageM[middle] <= atM) low = middle;
    else high = middle;
  }
  const span = chainageM[high] - chainageM[low];
  const t = span > 0 ? Math.min(1, Math.max(0, (atM - chainageM[low]) / span)) : 0;
  if (t === 1) return { x: line[2 * high], y: line[2 * high + 1] };
  return {
    x: line[2 * low] + t * (line[2 * high] - line[2 * low]),
    y: line[2 * low + 1] + t * (line[2 * high + 1] - line[2 * low + 1]),
  };
}
