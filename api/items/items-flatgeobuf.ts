import { ColumnType } from 'flatgeobuf/lib/mjs/flat-geobuf/column-type.js';
import { GeometryType } from 'flatgeobuf/lib/mjs/flat-geobuf/geometry-type.js';
import { buildFeature } from 'flatgeobuf/lib/mjs/generic/feature.js';
import { buildHeader } from 'flatgeobuf/lib/mjs/generic/featurecollection.js';
import { parseGeometry } from 'flatgeobuf/lib/mjs/geojson/geometry.js';
import type { Collection, Field } from '#api/collections/collections.ts';
import type { Geometry } from '#api/store/geometry.ts';
import type { ItemFeature } from './item-feature.ts';

/** "fgb", version 3.0.0 (FlatGeobuf specification, file layout). */
const MAGIC = new Uint8Array([0x66, 0x67, 0x62, 0x03, 0x66, 0x67, 0x62, 0x00]);

const COLUMN_TYPES: Readonly<Record<Field['type'], ColumnType>> = {
  string: ColumnType.String,
  number: ColumnType.Double,
  integer: ColumnType.Double,
  boolean: ColumnType.Bool,
  array: ColumnType.Json,
};

/** Features as FlatGeobuf without an index: header with all declared properties, then one feature after the other. */
export function itemsFlatGeobuf({ fields }: Collection, features: readonly ItemFeature[], epsg: number): Uint8Array {
  const columns = [
    ['id', ColumnType.String] as const,
    ...Object.entries(fields).map(([name, { type }]) => [name, COLUMN_TYPES[type]] as const),
  ];
  const header = {
    geometryType: GeometryType.Unknown,
    columns: columns.map(([name, type]) => ({
      name,
      type,
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
  const parts = [
    MAGIC,
    buildHeader(header, epsg),
    ...features.map(({ id, geometry, properties }) =>
      buildFeature(parseGeometry(mutable(geometry)), { id, ...plain(fields, properties) }, header),
    ),
  ];
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}

/** The declared properties that say something; lists as JSON. */
function plain(fields: Collection['fields'], properties: Readonly<Record<string, unknown>>): Record<string, unknown> {
  const said = Object.entries(properties).filter(([name, value]) => value !== null && Object.hasOwn(fields, name));
  return Object.fromEntries(
    said.map(([name, value]) => [name, fields[name].type === 'array' ? JSON.stringify(value) : value]),
  );
}

/** The library wants lists it may change. */
function mutable(geometry: Geometry): Parameters<typeof parseGeometry>[0] {
  return structuredClone(geometry) as Parameters<typeof parseGeometry>[0];
}
