import { COLLECTIONS, type Collection, type Field } from '#api/collections/collections.ts';
import { ITEM_FORMATS } from '#api/collections/describe.ts';
import {
  type Content,
  operation,
  type Paths,
  parameterRef,
  pathParameter,
  queryParameter,
  ref,
  type Schema,
} from '#api/ogc/openapi.ts';
import { ITEM_PARAMETERS, parameterFields } from './read-items-query.ts';

const FEATURE_ID = pathParameter('featureId', 'id of the feature');
const GEOJSON = 'application/geo+json';
const TEXT: Schema = { type: 'string' };
const BYTES: Schema = { type: 'string', format: 'binary' };

function valueSchema({ type, items, oneOf, format }: Field): Schema {
  return {
    type,
    nullable: true,
    ...(items !== undefined && { items: { type: items } }),
    ...(oneOf !== undefined && { enum: [...oneOf, null] }),
    ...(format !== undefined && { format }),
  };
}

/** The schema of a collection's features. What people give may say anything; what the planner makes says what it should. */
function featureSchema({ fields, family, writable }: Collection): Schema {
  const lenient = ([name, field]: [string, Field]) => [name, writable && !field.readOnly ? {} : valueSchema(field)];
  return {
    type: 'object',
    required: ['type', 'id', 'geometry', 'properties'],
    properties: {
      type: { type: 'string', enum: ['Feature'] },
      id: TEXT,
      geometry: ref(`${family}Geometry`),
      properties: {
        type: 'object',
        required: Object.keys(fields),
        properties: Object.fromEntries(Object.entries(fields).map(lenient)),
      },
      links: { type: 'array', items: ref('link') },
    },
  };
}

function pageSchema(id: string): Schema {
  return {
    type: 'object',
    required: ['type', 'features', 'links', 'timeStamp', 'numberMatched', 'numberReturned'],
    properties: {
      type: { type: 'string', enum: ['FeatureCollection'] },
      timeStamp: { type: 'string', format: 'date-time' },
      numberMatched: { type: 'integer', minimum: 0 },
      numberReturned: { type: 'integer', minimum: 0 },
      links: { type: 'array', items: ref('link') },
      features: { type: 'array', items: ref(`${id}-feature`) },
    },
  };
}

/** Schemas of every collection's features and pages of them. */
export const ITEM_SCHEMAS: Readonly<Record<string, Schema>> = Object.fromEntries(
  COLLECTIONS.flatMap((collection) => [
    [`${collection.id}-feature`, featureSchema(collection)],
    [`${collection.id}-page`, pageSchema(collection.id)],
  ]),
);

const LIST_PARAMETERS = [...ITEM_PARAMETERS, 'f', 'share'].map(parameterRef);

const WRITTEN = { ETag: { schema: TEXT } };

function itemsPath(collection: Collection): Schema {
  const { id, title, writable } = collection;
  const forms: Content = Object.fromEntries(
    ITEM_FORMATS.map(({ id: form, mediaType }) => [
      mediaType,
      form === 'json' ? ref(`${id}-page`) : form === 'fgb' ? BYTES : TEXT,
    ]),
  );
  const own = parameterFields(collection).map(([name, { title: about, type, oneOf }]) =>
    queryParameter(name, `only those with this value: ${about}`, { type, ...(oneOf !== undefined && { enum: oneOf }) }),
  );
  return {
    get: operation({
      id: `${id}.items`,
      summary: `Features: ${title}`,
      tag: 'features',
      parameters: [...LIST_PARAMETERS, ...own],
      answers: {
        '200': { description: 'a page of features', types: forms, headers: { 'Content-Crs': { schema: TEXT } } },
      },
    }),
    ...(writable && {
      post: operation({
        id: `${id}.create`,
        summary:
          id === 'sites'
            ? 'Keep a site: a whole FeatureCollection, or its outline as a Feature'
            : `Add a feature: ${title}`,
        tag: 'features',
        parameters: [parameterRef('Content-Crs')],
        body: {
          description: 'what is to be kept',
          types: { [GEOJSON]: id === 'sites' ? { oneOf: [ref('site'), ref('feature')] } : ref('feature') },
        },
        answers: {
          '201': {
            description: 'kept; Location says where',
            types: { [GEOJSON]: ref(`${id}-feature`) },
            headers: { Location: { schema: TEXT }, ...WRITTEN },
          },
        },
      }),
    }),
  };
}

function itemPath({ id, title, writable }: Collection): Schema {
  const feature = { [GEOJSON]: ref(`${id}-feature`) };
  const conditional = [FEATURE_ID, parameterRef('If-Match')];
  return {
    get: operation({
      id: `${id}.item`,
      summary: `One feature: ${title}`,
      tag: 'features',
      parameters: [FEATURE_ID, parameterRef('crs'), parameterRef('f'), parameterRef('share')],
      answers: {
        '200': { description: 'the feature', types: { ...feature, 'text/html': TEXT }, headers: WRITTEN },
        '304': { description: 'unchanged since the ETag in If-None-Match' },
      },
    }),
    ...(writable && {
      put: operation({
        id: `${id}.replace`,
        summary: `Replace a feature: ${title}`,
        tag: 'features',
        parameters: [...conditional, parameterRef('Content-Crs')],
        body: {
          description: 'what is to be kept instead',
          types: { [GEOJSON]: id === 'sites' ? { oneOf: [ref('site'), ref('feature')] } : ref('feature') },
        },
        answers: { '200': { description: 'the feature as it is now', types: feature, headers: WRITTEN } },
      }),
      patch: operation({
        id: `${id}.update`,
        summary: `Change a feature: ${title}`,
        tag: 'features',
        parameters: [...conditional, parameterRef('Content-Crs')],
        body: { description: 'what changes (RFC 7396)', types: { 'application/merge-patch+json': { type: 'object' } } },
        answers: { '200': { description: 'the feature as it is now', types: feature, headers: WRITTEN } },
      }),
      delete: operation({
        id: `${id}.delete`,
        summary: `Remove a feature: ${title}`,
        tag: 'features',
        parameters: conditional,
        answers: { '204': { description: 'removed' } },
      }),
    }),
  };
}

/** Every collection has paths of its own: clients read from them which properties they may ask for. */
export const ITEM_PATHS: Paths = Object.fromEntries(
  COLLECTIONS.flatMap((collection) => [
    [`/collections/${collection.id}/items`, itemsPath(collection)],
    [`/collections/${collection.id}/items/{featureId}`, itemPath(collection)],
  ]),
);
