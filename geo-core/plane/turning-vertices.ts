import type { Polyline } from '#geo-core/model/position.ts';
import { pointSegmentM } from './segment.ts';

/**
 * The vertices from `first` to `last` (both included, ascending) that a string must be held at so that it stays within `toleranceM` of
 * the line: corners, and as many points of an arc as its chords need. Farthest point first (D. H. Douglas and T. K. Peucker, The
 * Canadian Cartographer 10, 1973, 112-122, from memory), with a stack instead of recursion.
 */
export function turningVertices(line: Polyline, first: number, last: number, toleranceM: number): number[] {
  const isKept = new Uint8Array(last - first + 1);
  isKept[0] = 1;
  isKept[last - first] = 1;
  const open = [first, last];
  while (open.length > 0) {
    const end = open.pop() ?? last;
    const start = open.pop() ?? first;
    const farthest = farthestVertex(line, start, end, toleranceM);
    if (farthest < 0) continue;
    isKept[farthest - first] = 1;
    open.push(start, farthest, farthest, end);
  }
  const kept: number[] = [];
  for (let i = 0; i < isKept.length; i++) if (isKept[i] === 1) kept.push(first + i);
  return kept;
}

/** The vertex between two others that strays most from their chord, -1 where none strays more than the tolerance. */
function farthestVertex(line: Polyline, first: number, last: number, toleranceM: number): number {
  let worstM = toleranceM;
  let farthest = -1;
  const ax = line[2 * first];
  const ay = line[2 * first + 1];
  const bx = line[2 * last];
  const by = line[2 * last + 1];
  for (let i = first + 1; i < last; i++) {
    const distance = pointSegmentM(line[2 * i], line[2 * i + 1], ax, ay, bx, by);
    if (distance <= worstM) continue;
    worstM = distance;
    farthest = i;
  }
  return farthest;
}
