import type { PlanGeometry } from '#geo-core/model/plan.ts';
import type { LonLat, PlanePoint, Polygon, Polyline, Ring } from '#geo-core/model/position.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { cutLineAtAntimeridian, cutPolygonAtAntimeridian } from './antimeridian.ts';
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
 */
export function geoJsonShapes({ toLonLat, toPlane }: LocalPlaneProjection): GeoJsonShapes {
  const position = ({ x, y }: PlanePoint) => rounded(toLonLat(x, y));
  const positions = (flat: Float64Array) =>
    Array.from({ length: flat.length / 2 }, (_, i) => toLonLat(flat[i * 2], flat[i * 2 + 1]));
  return {
    position,
    toPlane: ([lonDeg, latDeg]) => toPlane(lonDeg, latDeg),
    point: (at) => ({ type: 'Point', coordinates: position(at) }),
    line(line) {
      const whole = positions(line);
      const parts = (crossesAntimeridian(whole) ? cutLineAtAntimeridian(whole) : [whole]).map((part) =>
        part.map(rounded),
      );
      if (parts.length === 0 || parts[0].length < 2) return undefined;
      return parts.length === 1
        ? { type: 'LineString', coordinates: parts[0] }
        : { type: 'MultiLineString', coordinates: parts };
    },
    area(polygons) {
      const parts = polygons.flatMap(({ outer, holes }) => {
        const rings = [counterClockwise(outer), ...holes.map(clockwise)].map(positions);
        return crossesAntimeridian(rings[0]) ? cutPolygonAtAntimeridian(rings) : [rings];
      });
      const closed = parts.map(closedRings).filter((rings) => rings.length > 0);
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
function crossesAntimeridian(positions: readonly LonLat[]): boolean {
  let [west, east] = [180, -180];
  for (const [lonDeg] of positions) {
    west = Math.min(west, lonDeg);
    east = Math.max(east, lonDeg);
  }
  return east - west > 180;
}

/** An outer ring that rounding flattens takes its polygon with it, a hole only itself. */
function closedRings(rings: readonly (readonly LonLat[])[]): Position[][] {
  const closed = rings.map(closedRing);
  return closed[0] === undefined ? [] : closed.filter((ring) => ring !== undefined);
}

function closedRing(ring: readonly LonLat[]): Position[] | undefined {
  const distinct = ring.map(rounded).filter(([x, y], i, all) => {
    const [beforeX, beforeY] = all[(i + all.length - 1) % all.length];
    return x !== beforeX || y !== beforeY;
  });
  return distinct.length < 3 ? undefined : [...distinct, distinct[0]];
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
