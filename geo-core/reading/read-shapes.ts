import { type LonLat, lonLat } from '#geo-core/model/position.ts';
import type { LonLatShape, PositionInput, SiteGeometryInput } from '#geo-core/model/site.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';

/** What was mended on the way, counted. */
export type Mends = {
  /** Rings whose last position was not their first. */
  closedRings: number;
  repeatedPositions: number;
  /** Rings with fewer than three different positions, left out. */
  droppedRings: number;
  /** Lines with fewer than two different positions, left out. */
  droppedLines: number;
  /** Rings that ran the other way round than RFC 7946 section 3.1.6 wants. */
  turnedRings: number;
};

export type ReadShapes = { readonly shapes: readonly LonLatShape[]; readonly mends: Mends };

/**
 * A geometry flattened to shapes, one for each type in it: Multi* and collections lose their nesting, altitudes and repeated
 * positions go, rings lose their closing position and get RFC 7946 order. Positions are already known to be places on earth.
 */
export function readShapes(geometry: SiteGeometryInput): ReadShapes {
  const mends: Mends = { closedRings: 0, repeatedPositions: 0, droppedRings: 0, droppedLines: 0, turnedRings: 0 };
  const polygons: LonLat[][][] = [];
  const lines: LonLat[][] = [];
  const points: LonLat[] = [];

  function readPolygon(rings: readonly (readonly PositionInput[])[]): void {
    const polygon: LonLat[][] = [];
    for (const [index, positions] of rings.entries()) {
      const ring = readRing(positions, index === 0, mends);
      if (ring !== undefined) polygon.push(ring);
      else if (index === 0) return;
    }
    if (polygon.length > 0) polygons.push(polygon);
  }

  function readLine(positions: readonly PositionInput[]): void {
    const line = withoutRepeats(positions, mends);
    if (line.length >= 2) lines.push(line);
    else if (positions.length > 0) mends.droppedLines++;
  }

  function read(part: SiteGeometryInput): void {
    switch (part.type) {
      case 'Point':
        if (part.coordinates.length > 0) points.push(readPosition(part.coordinates));
        break;
      case 'MultiPoint':
        for (const position of part.coordinates) points.push(readPosition(position));
        break;
      case 'LineString':
        readLine(part.coordinates);
        break;
      case 'MultiLineString':
        part.coordinates.forEach(readLine);
        break;
      case 'Polygon':
        readPolygon(part.coordinates);
        break;
      case 'MultiPolygon':
        part.coordinates.forEach(readPolygon);
        break;
      case 'GeometryCollection':
        part.geometries.forEach(read);
        break;
    }
  }

  read(geometry);
  const shapes: LonLatShape[] = [];
  if (polygons.length > 0) shapes.push({ type: 'area', polygons });
  if (lines.length > 0) shapes.push({ type: 'line', lines });
  if (points.length > 0) shapes.push({ type: 'point', points });
  return { shapes, mends };
}

/** A site across the 180th meridian may write longitudes a little over it. */
function readPosition([lonDeg, latDeg]: PositionInput): LonLat {
  const foldedDeg = lonDeg > 180 ? lonDeg - 360 : lonDeg < -180 ? lonDeg + 360 : lonDeg;
  return lonLat(foldedDeg, latDeg);
}

function withoutRepeats(positions: readonly PositionInput[], mends: Mends): LonLat[] {
  const kept: LonLat[] = [];
  for (const position of positions) {
    const read = readPosition(position);
    const last = kept.at(-1);
    if (last !== undefined && isSame(last, read)) mends.repeatedPositions++;
    else kept.push(read);
  }
  return kept;
}

function readRing(positions: readonly PositionInput[], isOuter: boolean, mends: Mends): LonLat[] | undefined {
  const ring = withoutRepeats(positions, mends);
  const isClosed = ring.length > 1 && isSame(ring[0], ring[ring.length - 1]);
  if (isClosed) ring.pop();
  if (ring.length < 3 || countDifferent(ring) < 3) {
    if (positions.length > 0) mends.droppedRings++;
    return undefined;
  }
  if (!isClosed) mends.closedRings++;
  const turn = twiceAreaDeg2(ring);
  if (isOuter ? turn < 0 : turn > 0) {
    mends.turnedRings++;
    ring.reverse();
  }
  return ring;
}

/** Counts no further than three. */
function countDifferent(ring: readonly LonLat[]): number {
  const [first] = ring;
  const second = ring.find((position) => !isSame(position, first));
  if (second === undefined) return 1;
  return ring.some((position) => !isSame(position, first) && !isSame(position, second)) ? 3 : 2;
}

/** Positive = counter-clockwise. Differences from the first position, so that 180 degrees is a meridian like any other. */
function twiceAreaDeg2(ring: readonly LonLat[]): number {
  const [originLonDeg, originLatDeg] = ring[0];
  let twiceArea = 0;
  let [previousX, previousY] = [0, 0];
  for (const [lonDeg, latDeg] of ring) {
    const x = longitudeDifferenceDeg(lonDeg, originLonDeg);
    const y = latDeg - originLatDeg;
    twiceArea += previousX * y - x * previousY;
    previousX = x;
    previousY = y;
  }
  return twiceArea;
}

function isSame(a: LonLat, b: LonLat): boolean {
  return a[0] === b[0] && a[1] === b[1];
}
