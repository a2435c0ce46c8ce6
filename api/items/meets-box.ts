import type { Box, Geometry, Position } from '#api/store/geometry.ts';

/** Do a geometry and a box (its edges included) have a point in common? Exact, in the plane of the coordinates. */
export function meetsBox(geometry: Geometry, box: Box): boolean {
  switch (geometry.type) {
    case 'Point':
      return isInside(geometry.coordinates, box);
    case 'MultiPoint':
      return geometry.coordinates.some((position) => isInside(position, box));
    case 'LineString':
      return lineMeets(geometry.coordinates, box);
    case 'MultiLineString':
      return geometry.coordinates.some((line) => lineMeets(line, box));
    case 'Polygon':
      return polygonMeets(geometry.coordinates, box);
    case 'MultiPolygon':
      return geometry.coordinates.some((rings) => polygonMeets(rings, box));
  }
}

function isInside([x, y]: Position, [west, south, east, north]: Box): boolean {
  return x >= west && x <= east && y >= south && y <= north;
}

function lineMeets(line: readonly Position[], box: Box): boolean {
  return line.some((position, i) => isInside(position, box) || (i > 0 && segmentMeets(line[i - 1], position, box)));
}

/** A polygon meets a box where its outline does, or where the whole box lies inside it. */
function polygonMeets(rings: readonly (readonly Position[])[], box: Box): boolean {
  if (rings.some((ring) => lineMeets(ring, box))) return true;
  const [x, y] = box;
  return rings.reduce((inside, ring) => (crossesOdd(ring, x, y) ? !inside : inside), false);
}

/** Clips the segment by the four sides (Liang and Barsky, 1984): anything left? */
function segmentMeets([x0, y0]: Position, [x1, y1]: Position, [west, south, east, north]: Box): boolean {
  let [from, to] = [0, 1];
  const sides = [
    [x0 - x1, x0 - west],
    [x1 - x0, east - x0],
    [y0 - y1, y0 - south],
    [y1 - y0, north - y0],
  ];
  for (const [run, room] of sides) {
    if (run === 0) {
      if (room < 0) return false;
    } else if (run < 0) from = Math.max(from, room / run);
    else to = Math.min(to, room / run);
  }
  return from <= to;
}

/** Does a ray to the east cross the ring an odd number of times? */
function crossesOdd(ring: readonly Position[], x: number, y: number): boolean {
  let isOdd = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) isOdd = !isOdd;
  }
  return isOdd;
}
