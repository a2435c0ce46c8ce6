import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Segments } from './segments.ts';

/** How far beside a wire its two sides are looked at, metres; less on very short segments, so that the place stays in its corner. */
const BESIDE_M = 0.005;
const BESIDE_SHARE = 0.05;

/** A place beside the middle of a segment: to its left (1) or right (-1). */
export function placeBeside({ abXy, lengthM }: Segments, i: number, side: 1 | -1): PlanePoint {
  const [ax, ay, bx, by] = [abXy[4 * i], abXy[4 * i + 1], abXy[4 * i + 2], abXy[4 * i + 3]];
  if (lengthM[i] === 0) return { x: ax, y: ay };
  const beside = (side * Math.min(BESIDE_M, lengthM[i] * BESIDE_SHARE)) / lengthM[i];
  return { x: (ax + bx) / 2 - (by - ay) * beside, y: (ay + by) / 2 + (bx - ax) * beside };
}
