import { magicbytes } from 'flatgeobuf/lib/mjs/constants.js';
import { ColumnType } from 'flatgeobuf/lib/mjs/flat-geobuf/column-type.js';
import { GeometryType } from 'flatgeobuf/lib/mjs/flat-geobuf/geometry-type.js';
import { buildFeature } from 'flatgeobuf/lib/mjs/generic/feature.js';
import { buildHeader } from 'flatgeobuf/lib/mjs/generic/featurecollection.js';
import { parseGeometry } from 'flatgeobuf/lib/mjs/geojson/geometry.js';
import type { HeaderMeta } from 'flatgeobuf/lib/mjs/header-meta.js';
import type { Geometry, GeometryCollection } from 'geojson';

const COLUMN_TYPES = {
  text: ColumnType.String,
  number: ColumnType.Double,
  truth: ColumnType.Bool,
  json: ColumnType.Json,
} as const;

type Place = readonly number[];
export type FlatGeobufColumn = { readonly name: string; readonly type: keyof typeof COLUMN_TYPES };
export type FlatGeobufFeature = {
  /** GeoJSON without collections. */
  readonly geometry:
    | { readonly type: 'Point'; readonly coordinates: Place }
    | { readonly type: 'LineString' | 'MultiPoint'; readonly coordinates: readonly Place[] }
    | { readonly type: 'Polygon' | 'MultiLineString'; readonly coordinates: readonly (readonly Place[])[] }
    | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly Place[])[])[] };
  /** By the names of the columns; what is not there is null. */
  readonly properties: Readonly<Record<string, string | number | boolean | null>>;
};

/** Features in one FlatGeobuf 3 layer of mixed geometries (flatgeobuf.org), without a spatial index: it is read whole. */
export function flatGeobufLayer(
  columns: readonly FlatGeobufColumn[],
  features: readonly FlatGeobufFeature[],
  epsg: number,
): Uint8Array {
  const header: HeaderMeta = {
    geometryType: GeometryType.Unknown,
    columns: columns.map(({ name, type }) => ({
      name,
      type: COLUMN_TYPES[type],
      title: null,
      description: null,
      width: -1,
      precision: -1,
      scale: -1,
      nullable: true,
      unique: false,
      primary_key: false,
    })),
    envelope: null,
    featuresCount: features.length,
    indexNodeSize: 0,
    crs: null,
    title: null,
    description: null,
    metadata: null,
  };
  const records = features.map(({ geometry, properties }) =>
    buildFeature(parseGeometry(asGeoJson(geometry)), { ...properties }, header),
  );
  return joined([magicbytes, buildHeader(header, epsg), ...records]);
}

/** The library's types know no read-only lists: a copy that it may call its own. */
function asGeoJson(geometry: FlatGeobufFeature['geometry']): Exclude<Geometry, GeometryCollection> {
  const line = (places: readonly Place[]) => places.map((place) => [...place]);
  switch (geometry.type) {
    case 'Point':
      return { type: geometry.type, coordinates: [...geometry.coordinates] };
    case 'LineString':
    case 'MultiPoint':
      return { type: geometry.type, coordinates: line(geometry.coordinates) };
    case 'MultiLineString':
    case 'Polygon':
      return { type: geometry.type, coordinates: geometry.coordinates.map(line) };
    case 'MultiPolygon':
      return { type: geometry.type, coordinates: geometry.coordinates.map((polygon) => polygon.map(line)) };
  }
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(pieces.reduce((bytes, piece) => bytes + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    out.set(piece, at);
    at += piece.length;
  }
  return out;
}
