import type { Geometry, Position } from '#api/store/geometry.ts';

/** Geometry as well-known text (OGC 06-103r4, 7). */
export function wellKnownText(geometry: Geometry): string {
  const position = ([x, y]: Position) => `${x} ${y}`;
  const line = (positions: readonly Position[]) => `(${positions.map(position).join(',')})`;
  const rings = (list: readonly (readonly Position[])[]) => `(${list.map(line).join(',')})`;
  switch (geometry.type) {
    case 'Point':
      return `POINT(${position(geometry.coordinates)})`;
    case 'MultiPoint':
      return `MULTIPOINT(${geometry.coordinates.map((place) => `(${position(place)})`).join(',')})`;
    case 'LineString':
      return `LINESTRING${line(geometry.coordinates)}`;
    case 'MultiLineString':
      return `MULTILINESTRING${rings(geometry.coordinates)}`;
    case 'Polygon':
      return `POLYGON${rings(geometry.coordinates)}`;
    case 'MultiPolygon':
      return `MULTIPOLYGON(${geometry.coordinates.map(rings).join(',')})`;
  }
}
