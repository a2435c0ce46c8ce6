import { magicbytes } from 'flatgeobuf/lib/mjs/constants.js';
import { ColumnType } from 'flatgeobuf/lib/mjs/flat-geobuf/column-type.js';
import { GeometryType } from 'flatgeobuf/lib/mjs/flat-geobuf/geometry-type.js';
import { buildFeature } from 'flatgeobuf/lib/mjs/generic/feature.js';
import { buildHeader } from 'flatgeobuf/lib/mjs/generic/featurecollection.js';
import { parseGeometry } from 'flatgeobuf/lib/mjs/geojson/geometry.js';
import type { HeaderMeta } from 'flatgeobuf/lib/mjs/header-meta.js';
import type { Geometry, GeometryCollection } from 'geojson';
import type { Plan, PlanGeometry, Position } from '#geo-core/model/plan.ts';
import { flatProperties } from './flat-properties.ts';
import type { PlanFormat } from './plan-format.ts';

const WGS84 = 4326;

/** All features in one FlatGeobuf 3 layer of mixed geometries (flatgeobuf.org); no spatial index: a plan is read whole. */
export const flatgeobuf: PlanFormat = {
  id: 'flatgeobuf',
  mediaType: 'application/flatgeobuf',
  extension: 'fgb',
  title: 'FlatGeobuf: one layer for GIS',
  write: writeFlatGeobuf,
};

function writeFlatGeobuf({ features }: Plan): Uint8Array {
  const { columns, rows } = flatProperties(features);
  const header: HeaderMeta = {
    geometryType: GeometryType.Unknown,
    columns: columns.map(({ name, type }) => ({
      name,
      type: type === 'text' ? ColumnType.String : ColumnType.Double,
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
  const records = features.map(({ geometry }, i) => {
    const properties = Object.fromEntries(columns.map(({ name }, k) => [name, rows[i][k]]));
    return buildFeature(parseGeometry(asGeoJson(geometry)), properties, header);
  });
  return joined([magicbytes, buildHeader(header, WGS84), ...records]);
}

/** The library's types know no read-only lists: a copy that it may call its own. */
function asGeoJson(geometry: PlanGeometry): Exclude<Geometry, GeometryCollection> {
  const line = (positions: readonly Position[]) => positions.map(([lonDeg, latDeg]) => [lonDeg, latDeg]);
  switch (geometry.type) {
    case 'Point':
      return { type: geometry.type, coordinates: [...geometry.coordinates] };
    case 'LineString':
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
