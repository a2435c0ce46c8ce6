import type { Polyline } from '#geo-core/model/position.ts';
import { segmentIndex } from './box-index.ts';
import type { Stretch } from './stretches-inside.ts';

/** The stretches of a line within `reachM` of other lines, by chainage, unsorted and not joined. */
export function stretchesNear(
  line: Polyline,
  chainageM: Float64Array,
  others: readonly Polyline[],
  reachM: number,
): Stretch[] {
  const segments = Float64Array.from(others.flatMap((other) => segmentsOf(other)));
  const index = segmentIndex(segments);
  if (index === undefined) return [];
  const found: Stretch[] = [];
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const near = index.search(
      Math.min(ax, bx) - reachM,
      Math.min(ay, by) - reachM,
      Math.max(ax, bx) + reachM,
      Math.max(ay, by) + reachM,
    );
    const [startM, endM] = [chainageM[i / 2], chainageM[i / 2 + 1]];
    for (const k of near) {
      const inside = insideCapsule(ax, ay, bx, by, segments.subarray(4 * k, 4 * k + 4), reachM);
      if (inside === undefined) continue;
      found.push({ fromM: startM + inside[0] * (endM - startM), toM: startM + inside[1] * (endM - startM) });
    }
  }
  return found;
}

function segmentsOf(line: Polyline): number[] {
  const segments: number[] = [];
  for (let i = 0; i + 3 < line.length; i += 2) segments.push(line[i], line[i + 1], line[i + 2], line[i + 3]);
  return segments;
}

/**
 * Where (0 to 1) the segment a-b lies within a distance of the segment c-d: that ground is convex, a strip with a disc at either end, so
 * it is one stretch, from the first to the last of what lies in either of the three.
 */
function insideCapsule(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  [cx, cy, dx, dy]: Float64Array,
  reachM: number,
): readonly [number, number] | undefined {
  const [ux, uy] = [bx - ax, by - ay];
  const [vx, vy] = [dx - cx, dy - cy];
  const length2 = vx * vx + vy * vy;
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  const see = (from: number, to: number): void => {
    const [s, t] = [Math.max(0, from), Math.min(1, to)];
    if (s > t) return;
    first = Math.min(first, s);
    last = Math.max(last, t);
  };
  for (const [px, py] of [
    [cx, cy],
    [dx, dy],
  ]) {
    const [a, b, c] = [
      ux * ux + uy * uy,
      (ax - px) * ux + (ay - py) * uy,
      square(ax - px) + square(ay - py) - square(reachM),
    ];
    const under = b * b - a * c;
    if (a > 0 && under >= 0) see((-b - Math.sqrt(under)) / a, (-b + Math.sqrt(under)) / a);
  }
  if (length2 > 0) {
    // Along c-d from 0 to length2, across it within reach.
    const along = within((ax - cx) * vx + (ay - cy) * vy, ux * vx + uy * vy, 0, length2);
    const sideM = reachM * Math.sqrt(length2);
    const across = within((ay - cy) * vx - (ax - cx) * vy, uy * vx - ux * vy, -sideM, sideM);
    see(Math.max(along[0], across[0]), Math.min(along[1], across[1]));
  }
  return first <= last ? [first, last] : undefined;
}

/** For which t lies start + t x step from `low` to `high`? Nothing: an empty range. */
function within(start: number, step: number, low: number, high: number): readonly [number, number] {
  if (step === 0) return start >= low && start <= high ? [0, 1] : [1, 0];
  const [s, t] = [(low - start) / step, (high - start) / step];
  return s < t ? [s, t] : [t, s];
}

function square(value: number): number {
  return value * value;
}
