import { segmentsCross } from '#geo-core/plane/segment.ts';
import type { NearestPlaces } from './nearest-places.ts';
import type { IndexedSegments } from './segments.ts';

/** Sight begins and ends this far short of the places that look at each other. */
const SHORT_OF_M = 5e-5;

/** Whether the straight line between two places stays inside an outline; segments of it that are `open` (1) do not block. */
export function isSeen(
  { px, py, qx, qy, distanceM }: NearestPlaces,
  outline: IndexedSegments,
  open?: Uint8Array,
): boolean {
  if (distanceM <= 2 * SHORT_OF_M) return true;
  const short = SHORT_OF_M / distanceM;
  const [ax, ay] = [px + (qx - px) * short, py + (qy - py) * short];
  const [bx, by] = [qx + (px - qx) * short, qy + (py - qy) * short];
  if (outline.scan.windingAt((ax + bx) / 2, (ay + by) / 2) <= 0) return false;
  const { abXy, grid } = outline;
  const many = grid.near(ax, ay, bx, by, 0);
  for (let n = 0; n < many; n++) {
    const at = 4 * grid.found[n];
    if (open?.[grid.found[n]] === 1) continue;
    if (segmentsCross(ax, ay, bx, by, abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3])) return false;
  }
  return true;
}
