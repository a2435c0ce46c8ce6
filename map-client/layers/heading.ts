import type { PlanePoint } from '#geo-core/model/position.ts';

/** Direction from one point to another, degrees clockwise from north (+y). */
export function headingDeg(from: PlanePoint, to: PlanePoint): number {
  return (Math.atan2(to.x - from.x, to.y - from.y) * 180) / Math.PI;
}
