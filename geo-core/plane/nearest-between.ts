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
 * The nearest points of two segments that do not cross; either may be a point. Where they run side by side every place is as
 * near as the next: the middle of that stretch is taken.
 */
export function nearestBetween(p: Segment, q: Segment): Nearest {
  const t0 = parameterOnSegment(p.ax, p.ay, q.ax, q.ay, q.bx, q.by);
  const t1 = parameterOnSegment(p.bx, p.by, q.ax, q.ay, q.bx, q.by);
  const s0 = parameterOnSegment(q.ax, q.ay, p.ax, p.ay, p.bx, p.by);
  const s1 = parameterOnSegment(q.bx, q.by, p.ax, p.ay, p.bx, p.by);
  const d0 = apartM(p, 0, q, t0);
  const d1 = apartM(p, 1, q, t1);
  const d2 = apartM(p, s0, q, 0);
  const d3 = apartM(p, s1, q, 1);
  const tieM = Math.min(d0, d1, d2, d3) + TIE_M;
  // The first and the last of the equally near pairs along p.
  let [lowS, lowT, highS, highT] = [2, 0, -1, 0];
  for (let k = 0; k < 4; k++) {
    if ((k === 0 ? d0 : k === 1 ? d1 : k === 2 ? d2 : d3) > tieM) continue;
    const s = k === 0 ? 0 : k === 1 ? 1 : k === 2 ? s0 : s1;
    const t = k === 0 ? t0 : k === 1 ? t1 : k === 2 ? 0 : 1;
    if (s < lowS) [lowS, lowT] = [s, t];
    if (s > highS) [highS, highT] = [s, t];
  }
  const [middleS, middleT] = [(lowS + highS) / 2, (lowT + highT) / 2];
  const sideBySide = apartM(p, middleS, q, middleT) <= tieM;
  const [ax, ay] = pointAt(p, sideBySide ? middleS : lowS);
  const [bx, by] = pointAt(q, sideBySide ? middleT : lowT);
  return { distanceM: distanceM(ax, ay, bx, by), ax, ay, bx, by };
}

function apartM(p: Segment, s: number, q: Segment, t: number): number {
  const px = p.ax + s * (p.bx - p.ax);
  const py = p.ay + s * (p.by - p.ay);
  return distanceM(px, py, q.ax + t * (q.bx - q.ax), q.ay + t * (q.by - q.ay));
}
