/** Longitude, latitude; further numbers are passed over. */
export type Position = readonly number[];
/** What a kept feature may be: GeoJSON without collections. */
export type Geometry =
  | { readonly type: 'Point'; readonly coordinates: Position }
  | { readonly type: 'MultiPoint'; readonly coordinates: readonly Position[] }
  | { readonly type: 'LineString'; readonly coordinates: readonly Position[] }
  | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Position[])[] }
  | { readonly type: 'Polygon'; readonly coordinates: readonly (readonly Position[])[] }
  | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly Position[])[])[] };

/** West, south, east, north in degrees. */
export type Box = readonly [number, number, number, number];

/** The positions of a geometry, one after the other. */
function* positionsOf(geometry: Geometry): Generator<Position> {
  switch (geometry.type) {
    case 'Point':
      yield geometry.coordinates;
      return;
    case 'MultiPoint':
    case 'LineString':
      yield* geometry.coordinates;
      return;
    case 'MultiLineString':
    case 'Polygon':
      for (const line of geometry.coordinates) yield* line;
      return;
    case 'MultiPolygon':
      for (const polygon of geometry.coordinates) for (const ring of polygon) yield* ring;
  }
}

export function boxOf(geometry: Geometry): Box {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lon, lat] of positionsOf(geometry)) {
    west = Math.min(west, lon);
    south = Math.min(south, lat);
    east = Math.max(east, lon);
    north = Math.max(north, lat);
  }
  return [west, south, east, north];
}

/** The same geometry with every position turned by `turn`. */
export function mapPositions(geometry: Geometry, turn: (position: Position) => Position): Geometry {
  switch (geometry.type) {
    case 'Point':
      return { type: geometry.type, coordinates: turn(geometry.coordinates) };
    case 'MultiPoint':
    case 'LineString':
      return { type: geometry.type, coordinates: geometry.coordinates.map(turn) };
    case 'MultiLineString':
    case 'Polygon':
      return { type: geometry.type, coordinates: geometry.coordinates.map((line) => line.map(turn)) };
    case 'MultiPolygon':
      return {
        type: geometry.type,
        coordinates: geometry.coordinates.map((polygon) => polygon.map((ring) => ring.map(turn))),
      };
  }
}
