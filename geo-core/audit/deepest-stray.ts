import type { PlanePoint } from '#geo-core/model/position.ts';
import { parameterOnSegment, pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { placesAt } from './nearest-places.ts';
import { distanceToSegmentsM, type Segments, segmentLengthM, segmentsNear, windingAt } from './segments.ts';

const TOUCH_M = 1e-7;

/**
 * How far segment `i` of a wire gets on the wrong side of an area's outline, metres: the segment is cut where the outline
 * meets it, and each piece whose middle lies on the wrong side is measured at its ends and its middle. 0 where it never does.
 */
export function deepestStray(
  wire: Segments,
  i: number,
  area: Segments,
  wanted: 'inside' | 'outside',
): { depthM: number; at: PlanePoint } {
  let deepest = { depthM: 0, at: { x: wire.abXy[i * 4], y: wire.abXy[i * 4 + 1] } };
  const cuts = cutsByOutline(wire, i, area);
  const lengthM = segmentLengthM(wire, i);
  for (let k = 0; k + 1 < cuts.length; k++) {
    if ((cuts[k + 1] - cuts[k]) * lengthM < TOUCH_M) continue;
    const middle = (cuts[k] + cuts[k + 1]) / 2;
    const { px, py } = placesAt(wire, i, wire, i, middle, middle);
    if (windingAt(area, px, py) > 0 === (wanted === 'inside')) continue;
    for (const share of [cuts[k], middle, cuts[k + 1]]) {
      const { px: x, py: y } = placesAt(wire, i, wire, i, share, share);
      const depthM = distanceToSegmentsM(area, x, y);
      if (depthM > deepest.depthM) deepest = { depthM, at: { x, y } };
    }
  }
  return deepest;
}

/** Shares of the segment, 0 and 1 among them, at which the outline crosses or touches it, ascending. */
function cutsByOutline(wire: Segments, i: number, area: Segments): number[] {
  const cuts = [0, 1];
  const [ax, ay, bx, by] = wire.abXy.subarray(i * 4, i * 4 + 4);
  for (const k of segmentsNear(area, wire, i, TOUCH_M)) {
    const [cx, cy, dx, dy] = area.abXy.subarray(k * 4, k * 4 + 4);
    if (segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) {
      const across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx);
      cuts.push(((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across);
    } else if (pointSegmentM(cx, cy, ax, ay, bx, by) < TOUCH_M) {
      cuts.push(parameterOnSegment(cx, cy, ax, ay, bx, by));
    }
  }
  return cuts.sort((p, q) => p - q);
}
