import { distanceM } from './measure.ts';
import { parameterOnSegment } from './segment.ts';

/** Where two segments come nearest: a point of each and the distance, metres. */
export type Nearest = {
  readonly distanceM: number;
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
};

export type Segment = { readonly ax: number; readonly ay: number; readonly bx: number; readonly by: number };

const TIE_M = 1e-9;

/** The point of a segment at parameter t; its own ends exactly at 0 and 1. */
export function pointAt(segment: Segment, t: number): readonly [number, number] {
  if (t <= 0) return [segment.ax, segment.ay];
  if (t >= 1) return [segment.bx, segment.by];
  return [segment.ax + t * (segment.bx - segment.ax), segment.ay + t * (segment.by - segment.ay)];
}

/**
 * The nearest points of two segments that do not cross; either may be a point. Where they run side by side any place is as
 * near as any other: the middle of that stretch is taken.
 */
export function nearestBetween(p: Segment, q: Segment): Nearest {
  const pairs: (readonly [number, number])[] = [
    [0, parameterOn(q, p.ax, p.ay)],
    [1, parameterOn(q, p.bx, p.by)],
    [parameterOn(p, q.ax, q.ay), 0],
    [parameterOn(p, q.bx, q.by), 1],
  ];
  const candidates = pairs.map(([s, t]) => ({ s, t, distanceM: apart(p, s, q, t) }));
  const leastM = Math.min(...candidates.map((candidate) => candidate.distanceM));
  const ties = candidates.filter((candidate) => candidate.distanceM <= leastM + TIE_M).toSorted((a, b) => a.s - b.s);
  const first = ties[0];
  const last = ties[ties.length - 1];
  const s = (first.s + last.s) / 2;
  const t = (first.t + last.t) / 2;
  const middleM = apart(p, s, q, t);
  const chosen = middleM <= leastM + TIE_M ? { s, t, distanceM: middleM } : first;
  const [ax, ay] = pointAt(p, chosen.s);
  const [bx, by] = pointAt(q, chosen.t);
  return { distanceM: chosen.distanceM, ax, ay, bx, by };
}

function parameterOn(segment: Segment, x: number, y: number): number {
  return parameterOnSegment(x, y, segment.ax, segment.ay, segment.bx, segment.by);
}

function apart(p: Segment, s: number, q: Segment, t: number): number {
  const [ax, ay] = pointAt(p, s);
  const [bx, by] = pointAt(q, t);
  return distanceM(ax, ay, bx, by);
}
