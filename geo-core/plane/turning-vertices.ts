import type { Polyline } from '#geo-core/model/position.ts';
import { pointSegmentM } from './segment.ts';

/**
 * The vertices from `first` to `last` (both included, ascending) that a string must be held at so that it stays within `toleranceM` of
 * the line: corners, and as many points of an arc as its chords need. Farthest point first (D. H. Douglas and T. K. Peucker, The
 * Canadian Cartographer 10, 1973, 112-122, from memory), with a stack instead of recursion.
 */
export function turningVertices(line: Polyline, first: number, last: number, toleranceM: number): number[] {
  const kept = new Set([first, last]);
  const open: [number, number][] = [[first, last]];
  for (let span = open.pop(); span !== undefined; span = open.pop()) {
    const farthest = farthestVertex(line, span[0], span[1], toleranceM);
    if (farthest === undefined) continue;
    kept.add(farthest);
    open.push([span[0], farthest], [farthest, span[1]]);
  }
  return [...kept].toSorted((a, b) => a - b);
}

function farthestVertex(line: Polyline, first: number, last: number, toleranceM: number): number | undefined {
  let worstM = toleranceM;
  let farthest: number | undefined;
  const [ax, ay, bx, by] = [line[2 * first], line[2 * first + 1], line[2 * last], line[2 * last + 1]];
  for (let i = first + 1; i < last; i++) {
    const distance = pointSegmentM(line[2 * i], line[2 * i + 1], ax, ay, bx, by);
    if (distance <= worstM) continue;
    worstM = distance;
    farthest = i;
  }
  return farthest;
}
