import type { Geometry, Position } from '#api/store/geometry.ts';
import type { Expression, LiteralGeometry } from './expression.ts';
import { FilterError } from './filter-error.ts';

/** BBOX(west, south, east, north), or six numbers with heights; one that spans the antimeridian is two boxes. */
export function boxGeometry(numbers: readonly Expression[]): Geometry {
  const given = numbers.map((number) => {
    if (typeof number === 'number' && Number.isFinite(number)) return number;
    throw new FilterError('a BBOX holds four or six numbers');
  });
  if (given.length !== 4 && given.length !== 6) throw new FilterError('a BBOX holds four or six numbers');
  const [west, south] = given;
  const [east, north] = given.length === 4 ? given.slice(2) : given.slice(3);
  if (south > north) throw new FilterError('the south of a BBOX lies north of its north');
  if (west <= east) return { type: 'Polygon', coordinates: [boxRing(west, south, east, north)] };
  return {
    type: 'MultiPolygon',
    coordinates: [[boxRing(west, south, 180, north)], [boxRing(-180, south, east, north)]],
  };
}

function boxRing(west: number, south: number, east: number, north: number): Position[] {
  return [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ];
}

/** Every position of a literal, turned; for coordinate systems and for checks. */
export function mapLiteral(geometry: LiteralGeometry, turn: (position: Position) => Position): LiteralGeometry {
  const turnAll = (list: readonly Position[]) => list.map(turn);
  switch (geometry.type) {
    case 'GeometryCollection':
      return { type: geometry.type, geometries: geometry.geometries.map((part) => mapLiteral(part, turn)) };
    case 'Point':
      return { type: geometry.type, coordinates: turn(geometry.coordinates) };
    case 'MultiPoint':
    case 'LineString':
      return { type: geometry.type, coordinates: turnAll(geometry.coordinates) };
    case 'MultiLineString':
    case 'Polygon':
      return { type: geometry.type, coordinates: geometry.coordinates.map(turnAll) };
    case 'MultiPolygon':
      return { type: geometry.type, coordinates: geometry.coordinates.map((rings) => rings.map(turnAll)) };
  }
}
