import type { Exchange } from '#api/ogc/exchange.ts';
import { type Link, REL } from '#api/ogc/links.ts';
import type { Extent } from '#api/store/features.ts';
import type { Collection, Field } from './collections.ts';
import { crsUris } from './coordinate-systems.ts';

/** Forms that features come in, the standard one first. */
export const ITEM_FORMATS = [
  { id: 'json', mediaType: 'application/geo+json', also: ['application/json'], title: 'GeoJSON' },
  { id: 'html', mediaType: 'text/html', also: [], title: 'page with a map' },
  { id: 'jsonseq', mediaType: 'application/geo+json-seq', also: [], title: 'GeoJSON text sequence' },
  { id: 'fgb', mediaType: 'application/flatgeobuf', also: ['application/vnd.flatgeobuf'], title: 'FlatGeobuf' },
  { id: 'csv', mediaType: 'text/csv', also: [], title: 'CSV with well-known text' },
] as const;

/** A collection as the API describes it; the same in the list and by itself. */
export function collectionDocument(
  { root }: Pick<Exchange, 'root'>,
  collection: Collection,
  extent: Extent | undefined,
) {
  const base = `${root}/collections/${collection.id}`;
  const crs = crsUris(extent?.box);
  return {
    id: collection.id,
    title: collection.title,
    description: collection.description,
    itemType: 'feature',
    ...(extent !== undefined && {
      extent: {
        spatial: { bbox: [extent.box], crs: crs[0] },
        temporal: { interval: [[extent.from, extent.to]], trs: 'http://www.opengis.net/def/uom/ISO-8601/0/Gregorian' },
      },
    }),
    crs,
    storageCrs: crs[0],
    links: collectionLinks(base, collection),
  };
}

function collectionLinks(base: string, { title }: Collection): Link[] {
  return [
    { rel: 'self', href: `${base}?f=json`, type: 'application/json', title },
    { rel: 'alternate', href: `${base}?f=html`, type: 'text/html', title },
    ...ITEM_FORMATS.map(({ id, mediaType, title: form }) => ({
      rel: 'items',
      href: `${base}/items?f=${id}`,
      type: mediaType,
      title: `${title} as ${form}`,
    })),
    {
      rel: `${REL}/queryables`,
      href: `${base}/queryables`,
      type: 'application/schema+json',
      title: 'what can be asked for',
    },
    { rel: `${REL}/schema`, href: `${base}/schema`, type: 'application/schema+json', title: 'schema of the features' },
    { rel: 'describedby', href: `${base}/schema`, type: 'application/schema+json', title: 'schema of the features' },
    { rel: `${REL}/tilesets-vector`, href: `${base}/tiles?f=json`, type: 'application/json', title: 'vector tiles' },
  ];
}

const FORMATS = {
  point: 'geometry-point-or-multipoint',
  line: 'geometry-linestring-or-multilinestring',
  polygon: 'geometry-polygon-or-multipolygon',
};
const SCHEMA = 'https://json-schema.org/draft/2020-12/schema';

function scalarSchema({ type, title, unit, format, oneOf }: Field): object {
  return {
    type,
    title,
    ...(unit !== undefined && { 'x-ogc-unit': unit, 'x-ogc-unitLang': 'UCUM' }),
    ...(format !== undefined && { format }),
    ...(oneOf !== undefined && { enum: oneOf }),
  };
}

function fieldSchema(field: Field): object {
  const { items } = field;
  return {
    ...scalarSchema(field),
    ...(items !== undefined && { items: { type: items } }),
    ...(field.readOnly && { readOnly: true }),
  };
}

const geometrySchema = ({ family }: Collection) => ({ title: 'where it is', format: FORMATS[family] });

/** What a filter may ask for (OGC 19-079r2, 7). */
export function queryablesDocument(id: string, collection: Collection): object {
  const properties = Object.entries(collection.fields).map(([name, field]) => {
    const { title: _, ...schema } = { title: '', ...fieldSchema(field) };
    return [name, { title: field.title, ...schema }];
  });
  return {
    $schema: SCHEMA,
    $id: id,
    type: 'object',
    title: collection.title,
    properties: {
      id: { title: 'id', type: 'string', 'x-ogc-role': 'id' },
      ...Object.fromEntries(properties),
      geometry: { ...geometrySchema(collection), 'x-ogc-role': 'primary-geometry' },
    },
    additionalProperties: false,
  };
}

/** What features hold: with roles and units (OGC 23-058). Sites may say more than is listed. */
export function schemaDocument(id: string, collection: Collection): object {
  const properties = Object.entries(collection.fields).map(([name, field], i) => [
    name,
    {
      ...fieldSchema(field),
      'x-ogc-propertySeq': i + 1,
      ...(name === 'updated' || name === 'planned' ? { 'x-ogc-role': 'primary-instant' } : {}),
    },
  ]);
  return {
    $schema: SCHEMA,
    $id: id,
    type: 'object',
    title: collection.title,
    description: collection.description,
    properties: {
      id: { title: 'id', type: 'string', readOnly: true, 'x-ogc-role': 'id' },
      ...Object.fromEntries(properties),
      geometry: { ...geometrySchema(collection), 'x-ogc-role': 'primary-geometry' },
    },
    ...(collection.id === 'sites' && { required: ['geometry'] }),
    ...(collection.id.startsWith('site-') && { required: ['site', 'kind', 'geometry'] }),
  };
}
