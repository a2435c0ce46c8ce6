import { parameterOnSegment, segmentSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import type { Segments } from './segments.ts';

/** Where two segments come nearest: shares s and t (0 to 1) along the first and the second, the places, their distance. */
export type NearestPlaces = {
  readonly s: number;
  readonly t: number;
  readonly px: number;
  readonly py: number;
  readonly qx: number;
  readonly qy: number;
  readonly distanceM: number;
};

/** Distance between two segments, metres; 0 where they cross. */
export function gapBetweenM({ abXy: a }: Segments, i: number, { abXy: b }: Segments, j: number): number {
  const [p, q] = [4 * i, 4 * j];
  return segmentSegmentM(a[p], a[p + 1], a[p + 2], a[p + 3], b[q], b[q + 1], b[q + 2], b[q + 3]);
}

export function nearestPlaces(first: Segments, i: number, second: Segments, j: number): NearestPlaces {
  const [a, p, b, q] = [first.abXy, 4 * i, second.abXy, 4 * j];
  const [ax, ay, bx, by] = [a[p], a[p + 1], a[p + 2], a[p + 3]];
  const [cx, cy, dx, dy] = [b[q], b[q + 1], b[q + 2], b[q + 3]];
  if (segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) {
    const [ux, uy, vx, vy] = [bx - ax, by - ay, dx - cx, dy - cy];
    const area = ux * vy - uy * vx;
    return placesAt(
      first,
      i,
      second,
      j,
      ((cx - ax) * vy - (cy - ay) * vx) / area,
      ((cx - ax) * uy - (cy - ay) * ux) / area,
    );
  }
  const ends = [
    placesAt(first, i, second, j, 0, parameterOnSegment(ax, ay, cx, cy, dx, dy)),
    placesAt(first, i, second, j, 1, parameterOnSegment(bx, by, cx, cy, dx, dy)),
    placesAt(first, i, second, j, parameterOnSegment(cx, cy, ax, ay, bx, by), 0),
    placesAt(first, i, second, j, parameterOnSegment(dx, dy, ax, ay, bx, by), 1),
  ];
  let nearest = ends[0];
  for (const end of ends) if (end.distanceM < nearest.distanceM) nearest = end;
  return nearest;
}

/** The places at given shares of two segments. */
export function placesAt(first: Segments, i: number, second: Segments, j: number, s: number, t: number): NearestPlaces {
  const a = first.abXy;
  const b = second.abXy;
  const px = a[i * 4] + s * (a[i * 4 + 2] - a[i * 4]);
  const py = a[i * 4 + 1] + s * (a[i * 4 + 3] - a[i * 4 + 1]);
  const qx = b[j * 4] + t * (b[j * 4 + 2] - b[j * 4]);
  const qy = b[j * 4 + 1] + t * (b[j * 4 + 3] - b[j * 4 + 1]);
  return { s, t, px, py, qx, qy, distanceM: Math.sqrt((px - qx) * (px - qx) + (py - qy) * (py - qy)) };
}
