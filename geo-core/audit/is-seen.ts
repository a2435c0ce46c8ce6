import { segmentsCross } from '#geo-core/plane/segment.ts';
import type { NearestPlaces } from './nearest-places.ts';
import { type Segments, windingAt } from './segments.ts';

/** Sight begins and ends this far short of the places that look at each other. */
const SHORT_OF_M = 5e-5;

/** Whether the straight line between two places stays inside an outline; segments of it that are `open` do not block. */
export function isSeen(
  { px, py, qx, qy, distanceM }: NearestPlaces,
  outline: Segments,
  open: (k: number) => boolean = () => false,
): boolean {
  if (distanceM <= 2 * SHORT_OF_M) return true;
  if (outline.boxes === undefined) return false;
  const short = SHORT_OF_M / distanceM;
  const [ax, ay] = [px + (qx - px) * short, py + (qy - py) * short];
  const [bx, by] = [qx + (px - qx) * short, qy + (py - qy) * short];
  if (windingAt(outline, (ax + bx) / 2, (ay + by) / 2) <= 0) return false;
  return outline.boxes.search(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)).every((k) => {
    const [cx, cy, dx, dy] = outline.abXy.subarray(k * 4, k * 4 + 4);
    return open(k) || !segmentsCross(ax, ay, bx, by, cx, cy, dx, dy);
  });
}
