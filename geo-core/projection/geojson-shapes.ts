import type { PlanGeometry } from '#geo-core/model/plan.ts';
import type { LonLat, PlanePoint, Polygon, Polyline, Ring } from '#geo-core/model/position.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { cutLineAtAntimeridian, cutPolygonAtAntimeridian } from './antimeridian.ts';
import { knownPositions } from './known-positions.ts';
import type { LocalPlaneProjection } from './local-plane.ts';

type Position = readonly [number, number];

export type GeoJsonShapes = {
  readonly position: (at: PlanePoint) => Position;
  readonly toPlane: (position: Position) => PlanePoint;
  readonly point: (at: PlanePoint) => PlanGeometry;
  /** Undefined where nothing is left after rounding. */
  readonly line: (line: Polyline) => PlanGeometry | undefined;
  readonly area: (polygons: readonly Polygon[]) => PlanGeometry | undefined;
};

/**
 * Plane shapes -> RFC 7946 geometry: WGS 84 longitude and latitude with nine decimals (0.1 mm), rings closed, outer rings
 * counter-clockwise and holes clockwise (3.1.6), cut at the antimeridian (3.1.9). What rounding makes a point is left out.
 * A plan names most of its points several times (area, loop, route, peg): each is brought to degrees once.
 */
export function geoJsonShapes({ toLonLat, toPlane }: LocalPlaneProjection): GeoJsonShapes {
  const positionAt = knownPositions((x, y) => rounded(toLonLat(x, y)));
  const positions = (flat: Float64Array): Position[] => {
    const list: Position[] = [];
    for (let i = 0; i < flat.length; i += 2) list.push(positionAt(flat[i], flat[i + 1]));
    return list;
  };
  const exact = (flat: Float64Array): LonLat[] =>
    Array.from({ length: flat.length / 2 }, (_, i) => toLonLat(flat[i * 2], flat[i * 2 + 1]));
  return {
    position: ({ x, y }) => positionAt(x, y),
    toPlane: ([lonDeg, latDeg]) => toPlane(lonDeg, latDeg),
    point: ({ x, y }) => ({ type: 'Point', coordinates: positionAt(x, y) }),
    line(line) {
      const whole = positions(line);
      const parts = crossesAntimeridian(whole)
        ? cutLineAtAntimeridian(exact(line)).map((part) => part.map(rounded))
        : [whole];
      if (parts.length === 0 || parts[0].length < 2) return undefined;
      return parts.length === 1
        ? { type: 'LineString', coordinates: parts[0] }
        : { type: 'MultiLineString', coordinates: parts };
    },
    area(polygons) {
      const closed: Position[][][] = [];
      for (const { outer, holes } of polygons) {
        const rings = [counterClockwise(outer), ...holes.map(clockwise)];
        const whole = rings.map(positions);
        const parts = crossesAntimeridian(whole[0])
          ? cutPolygonAtAntimeridian(rings.map(exact)).map((part) => part.map((ring) => ring.map(rounded)))
          : [whole];
        for (const part of parts) {
          const own = closedRings(part);
          if (own.length > 0) closed.push(own);
        }
      }
      if (closed.length === 0) return undefined;
      return closed.length === 1
        ? { type: 'Polygon', coordinates: closed[0] }
        : { type: 'MultiPolygon', coordinates: closed };
    },
  };
}

/** Nine decimals of a number; no negative zero. */
export function nineDecimals(value: number): number {
  return Math.round(value * 1e9) / 1e9 + 0;
}

function rounded([lonDeg, latDeg]: LonLat): Position {
  return [nineDecimals(lonDeg), nineDecimals(latDeg)];
}

/** A garden spans far less than half a turn: longitudes farther apart than that lie on two sides of the antimeridian. */
function crossesAntimeridian(positions: readonly Position[]): boolean {
  let west = 180;
  let east = -180;
  for (const position of positions) {
    if (position[0] < west) west = position[0];
    if (position[0] > east) east = position[0];
  }
  return east - west > 180;
}

/** An outer ring that rounding flattens takes its polygon with it, a hole only itself. */
function closedRings(rings: readonly Position[][]): Position[][] {
  const closed = rings.filter(closeRing);
  return closed[0] === rings[0] ? closed : [];
}

/** Takes positions out of a ring that repeat the one before, and ends it where it began; false where no ring is left. */
function closeRing(ring: Position[]): boolean {
  let kept = 0;
  let before = ring[ring.length - 1];
  for (const position of ring) {
    if (position[0] !== before[0] || position[1] !== before[1]) ring[kept++] = position;
    before = position;
  }
  ring.length = kept;
  if (kept < 3) return false;
  ring.push(ring[0]);
  return true;
}

function counterClockwise(ring: Ring): Ring {
  return isClockwise(ring) ? reversedRing(ring) : ring;
}

function clockwise(ring: Ring): Ring {
  return isClockwise(ring) ? ring : reversedRing(ring);
}

function isClockwise(ring: Ring): boolean {
  return ringAreaM2(ring) < 0;
}
