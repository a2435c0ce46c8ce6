import type { Collection, Field } from '#api/collections/collections.ts';
import { type FlatGeobufColumn, type FlatGeobufFeature, flatGeobufLayer } from '#geo-core/index.ts';
import type { ItemFeature } from './item-feature.ts';

const COLUMN_TYPES: Readonly<Record<Field['type'], FlatGeobufColumn['type']>> = {
  string: 'text',
  number: 'number',
  integer: 'number',
  boolean: 'truth',
  array: 'json',
};

/** Features as one FlatGeobuf layer: all declared properties as columns, whoever says them. */
export function itemsFlatGeobuf({ fields }: Collection, features: readonly ItemFeature[], epsg: number): Uint8Array {
  const columns: FlatGeobufColumn[] = [
    { name: 'id', type: 'text' },
    ...Object.entries(fields).map(([name, { type }]) => ({ name, type: COLUMN_TYPES[type] })),
  ];
  const records = features.map(({ id, geometry, properties }) => ({
    geometry,
    properties: { id, ...plain(fields, properties) },
  }));
  return flatGeobufLayer(columns, records, epsg);
}

/** The declared properties that say something; lists as JSON. */
function plain(fields: Collection['fields'], properties: ItemFeature['properties']): FlatGeobufFeature['properties'] {
  const said = Object.entries(properties).filter(([name, value]) => value !== null && Object.hasOwn(fields, name));
  return Object.fromEntries(
    said.map(([name, value]) => [
      name,
      typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean'
        ? value
        : JSON.stringify(value),
    ]),
  );
}
