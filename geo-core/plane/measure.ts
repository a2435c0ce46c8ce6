import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';

/** Signed area of a flat ring, square metres; counter-clockwise positive (shoelace about the first vertex). */
export function ringAreaM2(ring: Ring): number {
  const x0 = ring[0];
  const y0 = ring[1];
  let twice = 0;
  for (let i = 2; i + 3 < ring.length; i += 2) {
    twice += (ring[i] - x0) * (ring[i + 3] - y0) - (ring[i + 2] - x0) * (ring[i + 1] - y0);
  }
  return twice / 2;
}

/** Length of a flat ring with its closing edge, metres. */
export function ringLengthM(ring: Ring): number {
  return lineLengthM(ring) + distanceM(ring[ring.length - 2], ring[ring.length - 1], ring[0], ring[1]);
}

/** Length of a flat line, metres. */
export function lineLengthM(line: Float64Array): number {
  let length = 0;
  for (let i = 0; i + 3 < line.length; i += 2) length += distanceM(line[i], line[i + 1], line[i + 2], line[i + 3]);
  return length;
}

/** sqrt, not Math.hypot: the same bits on every engine. */
export function distanceM(ax: number, ay: number, bx: number, by: number): number {
  return Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
}

export function polygonAreaM2(polygon: Polygon): number {
  return polygon.holes.reduce((area, hole) => area + ringAreaM2(hole), ringAreaM2(polygon.outer));
}

export function polygonPerimeterM(polygon: Polygon): number {
  return polygon.holes.reduce((length, hole) => length + ringLengthM(hole), ringLengthM(polygon.outer));
}

export function totalAreaM2(polygons: readonly Polygon[]): number {
  return polygons.reduce((area, polygon) => area + polygonAreaM2(polygon), 0);
}

/** Centre of mass of polygons that have an area, metres. */
export function centroidOf(polygons: readonly Polygon[]): PlanePoint {
  const [x0, y0] = polygons[0].outer;
  let [twice, x, y] = [0, 0, 0];
  for (const ring of polygons.flatMap(({ outer, holes }) => [outer, ...holes])) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const [ax, ay, bx, by] = [ring[j] - x0, ring[j + 1] - y0, ring[i] - x0, ring[i + 1] - y0];
      const cross = ax * by - bx * ay;
      twice += cross;
      x += cross * (ax + bx);
      y += cross * (ay + by);
    }
  }
  return { x: x0 + x / (3 * twice), y: y0 + y / (3 * twice) };
}
