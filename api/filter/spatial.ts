import GeoJSONReader from 'jsts/org/locationtech/jts/io/GeoJSONReader.js';
import RelateOp from 'jsts/org/locationtech/jts/operation/relate/RelateOp.js';
import { FILTER_LIMITS, type LiteralGeometry } from './expression.ts';
import { FilterError } from './filter-error.ts';

/** A geometry made ready for comparing, with the box around it. */
export type Shape = {
  readonly topology: object;
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
};

const reader = new GeoJSONReader();

export function shapeOf(geometry: LiteralGeometry): Shape {
  let [west, south, east, north, count] = [Infinity, Infinity, -Infinity, -Infinity, 0];
  const visit = (coordinates: unknown): void => {
    if (!Array.isArray(coordinates)) return;
    const [x, y] = coordinates;
    if (typeof x !== 'number' || typeof y !== 'number') {
      for (const inner of coordinates) visit(inner);
      return;
    }
    count += 1;
    west = Math.min(west, x);
    south = Math.min(south, y);
    east = Math.max(east, x);
    north = Math.max(north, y);
  };
  for (const part of geometry.type === 'GeometryCollection' ? geometry.geometries : [geometry]) {
    visit('coordinates' in part ? part.coordinates : []);
  }
  if (count > FILTER_LIMITS.positionsMax * 10)
    throw new FilterError('a geometry has too many positions to be compared');
  let topology: object;
  try {
    topology = reader.read(geometry);
  } catch (error) {
    throw new FilterError(`a geometry is none: ${error instanceof Error ? error.message : String(error)}`);
  }
  return { topology, west, south, east, north };
}

const mayMeet = (a: Shape, b: Shape) =>
  a.west <= b.east && a.east >= b.west && a.south <= b.north && a.north >= b.south;

/** The spatial comparison functions (OGC 21-065r2, 7.4, by the matrices of OGC 06-103r4); jsts computes the matrices. */
export const SPATIAL: Readonly<Record<string, (a: Shape, b: Shape) => boolean>> = {
  s_intersects: (a, b) => mayMeet(a, b) && RelateOp.intersects(a.topology, b.topology),
  s_disjoint: (a, b) => !mayMeet(a, b) || RelateOp.disjoint(a.topology, b.topology),
  s_equals: (a, b) => mayMeet(a, b) && RelateOp.equalsTopo(a.topology, b.topology),
  s_touches: (a, b) => mayMeet(a, b) && RelateOp.touches(a.topology, b.topology),
  s_within: (a, b) => mayMeet(a, b) && RelateOp.contains(b.topology, a.topology),
  s_contains: (a, b) => mayMeet(a, b) && RelateOp.contains(a.topology, b.topology),
  s_overlaps: (a, b) => mayMeet(a, b) && RelateOp.overlaps(a.topology, b.topology),
  s_crosses: (a, b) => mayMeet(a, b) && RelateOp.crosses(a.topology, b.topology),
};
