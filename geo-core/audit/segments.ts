import Flatbush from 'flatbush';
import type { Polygon, Polyline, Ring } from '#geo-core/model/position.ts';
import { cross, pointSegmentM } from '#geo-core/plane/segment.ts';

/** Directed segments a -> b in metres, four numbers each (ax, ay, bx, by), with a box index; `group` says whose each one is. */
export type Segments = {
  readonly count: number;
  readonly abXy: Float64Array;
  readonly group: Int32Array;
  readonly boxes: Flatbush | undefined;
};

/** Closed rings (not repeated at the end) and open lines as one indexed set; `group` counts lines in the order given. */
export function indexSegments(lines: readonly (Ring | Polyline)[], closed: boolean): Segments {
  let count = 0;
  for (const line of lines) count += Math.max(0, line.length / 2 - (closed ? 0 : 1));
  const abXy = new Float64Array(count * 4);
  const group = new Int32Array(count);
  const boxes = count > 0 ? new Flatbush(count) : undefined;
  let k = 0;
  lines.forEach((line, lineIndex) => {
    const last = closed ? line.length : line.length - 2;
    for (let i = 0; i < last; i += 2, k++) {
      const j = (i + 2) % line.length;
      abXy.set([line[i], line[i + 1], line[j], line[j + 1]], k * 4);
      group[k] = lineIndex;
      boxes?.add(
        Math.min(line[i], line[j]),
        Math.min(line[i + 1], line[j + 1]),
        Math.max(line[i], line[j]),
        Math.max(line[i + 1], line[j + 1]),
      );
    }
  });
  boxes?.finish();
  return { count, abXy, group, boxes };
}

/** Every ring of the polygons, outer before holes. */
export function indexPolygons(polygons: readonly Polygon[]): Segments {
  return indexSegments(
    polygons.flatMap((polygon) => [polygon.outer, ...polygon.holes]),
    true,
  );
}

/** Indices of the segments of `others` whose box comes within `reachM` of segment `i` of `segments`. */
export function segmentsNear(others: Segments, segments: Segments, i: number, reachM: number): readonly number[] {
  if (others.boxes === undefined) return [];
  const ax = segments.abXy[i * 4];
  const ay = segments.abXy[i * 4 + 1];
  const bx = segments.abXy[i * 4 + 2];
  const by = segments.abXy[i * 4 + 3];
  return others.boxes.search(
    Math.min(ax, bx) - reachM,
    Math.min(ay, by) - reachM,
    Math.max(ax, bx) + reachM,
    Math.max(ay, by) + reachM,
  );
}

/**
 * Winding number of the segments (taken as closed lines) around a point: upward crossings of the ray to the east count +1,
 * downward ones -1 (Sunday's rule, after Hormann and Agathos, Comput. Geom. 20 (2001); from memory). The side test always
 * runs from the lower to the upper end, so two walks over the same line cancel to the last bit.
 */
export function windingAt(segments: Segments, x: number, y: number, group?: number): number {
  if (segments.boxes === undefined) return 0;
  let winding = 0;
  for (const k of segments.boxes.search(x, y, Number.POSITIVE_INFINITY, y)) {
    if (group !== undefined && segments.group[k] !== group) continue;
    const ax = segments.abXy[k * 4];
    const ay = segments.abXy[k * 4 + 1];
    const bx = segments.abXy[k * 4 + 2];
    const by = segments.abXy[k * 4 + 3];
    if (ay <= y && by > y && cross(ax, ay, bx, by, x, y) > 0) winding++;
    else if (by <= y && ay > y && cross(bx, by, ax, ay, x, y) > 0) winding--;
  }
  return winding;
}

/** Distance from a point to the nearest of the segments, metres; infinite where there is none. */
export function distanceToSegmentsM({ boxes, abXy }: Segments, x: number, y: number): number {
  if (boxes === undefined) return Number.POSITIVE_INFINITY;
  const widestM = Math.abs(x) + Math.abs(y) + boxes.maxX - boxes.minX + boxes.maxY - boxes.minY;
  for (let reachM = 0.01; ; reachM *= 8) {
    let nearestM = Number.POSITIVE_INFINITY;
    for (const k of boxes.search(x - reachM, y - reachM, x + reachM, y + reachM)) {
      const [ax, ay, bx, by] = abXy.subarray(k * 4, k * 4 + 4);
      nearestM = Math.min(nearestM, pointSegmentM(x, y, ax, ay, bx, by));
    }
    if (nearestM <= reachM || !(reachM < 8 * widestM)) return nearestM;
  }
}

export function segmentLengthM({ abXy }: Segments, k: number): number {
  const dx = abXy[k * 4 + 2] - abXy[k * 4];
  const dy = abXy[k * 4 + 3] - abXy[k * 4 + 1];
  return Math.sqrt(dx * dx + dy * dy);
}
