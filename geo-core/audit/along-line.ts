import type { Polyline } from '#geo-core/model/position.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { parameterOnSegment } from '#geo-core/plane/segment.ts';

/** Metres along a line to the place nearest to a point, and the distance there. */
export function alongLine(line: Polyline, x: number, y: number): { alongM: number; offM: number } {
  let nearest = { alongM: 0, offM: Number.POSITIVE_INFINITY };
  let beforeM = 0;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const lengthM = distanceM(ax, ay, bx, by);
    const t = parameterOnSegment(x, y, ax, ay, bx, by);
    const offM = distanceM(x, y, ax + t * (bx - ax), ay + t * (by - ay));
    if (offM < nearest.offM) nearest = { alongM: beforeM + t * lengthM, offM };
    beforeM += lengthM;
  }
  return nearest;
}
