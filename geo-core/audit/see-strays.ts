import { parameterOnSegment, pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { distanceToSegmentsM, type IndexedSegments, type Segments } from './segments.ts';
import type { WorstCase } from './worst-case.ts';

const TOUCH_M = 1e-7;

/**
 * Tells `worst` how far each wire gets on the wrong side of an area's outline, metres: each segment is cut where the outline
 * meets it, and each piece whose middle lies on the wrong side is measured at its ends and its middle.
 */
export function seeStrays(
  wires: Segments,
  area: IndexedSegments,
  wanted: 'inside' | 'outside',
  worst: WorstCase,
): void {
  const { abXy, lengthM, count } = wires;
  const cuts: number[] = [];
  for (let i = 0; i < count; i++) {
    const [ax, ay, bx, by] = [abXy[4 * i], abXy[4 * i + 1], abXy[4 * i + 2], abXy[4 * i + 3]];
    cutByOutline(ax, ay, bx, by, area, cuts);
    for (let k = 0; k + 1 < cuts.length; k++) {
      if ((cuts[k + 1] - cuts[k]) * lengthM[i] < TOUCH_M) continue;
      const middle = (cuts[k] + cuts[k + 1]) / 2;
      const inside = area.scan.windingAt(ax + middle * (bx - ax), ay + middle * (by - ay)) > 0;
      if (inside === (wanted === 'inside')) continue;
      for (const share of [cuts[k], middle, cuts[k + 1]]) {
        const [x, y] = [ax + share * (bx - ax), ay + share * (by - ay)];
        worst.see(distanceToSegmentsM(area, x, y), { x, y });
      }
    }
  }
}

/** Fills `cuts` with the shares of a-b, 0 and 1 among them, at which the outline crosses or touches it, ascending. */
function cutByOutline(ax: number, ay: number, bx: number, by: number, area: IndexedSegments, cuts: number[]): void {
  cuts.length = 0;
  cuts.push(0, 1);
  const outline = area.abXy;
  area.grid.some(ax, ay, bx, by, TOUCH_M, (k) => {
    const [cx, cy, dx, dy] = [outline[4 * k], outline[4 * k + 1], outline[4 * k + 2], outline[4 * k + 3]];
    if (segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) {
      const across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx);
      cuts.push(((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across);
    } else if (pointSegmentM(cx, cy, ax, ay, bx, by) < TOUCH_M) {
      cuts.push(parameterOnSegment(cx, cy, ax, ay, bx, by));
    }
    return false;
  });
  if (cuts.length > 2) cuts.sort((p, q) => p - q);
}
