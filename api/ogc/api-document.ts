import { ACCESS_PATHS } from '#api/access/access-paths.ts';
import { COLLECTIONS } from '#api/collections/collections.ts';
import { SCHEMAS } from '#api/contract/schemas.ts';
import { FILE_FORMATS } from '#api/formats/file-formats.ts';
import { ITEM_PATHS, ITEM_SCHEMAS } from '#api/items/items-paths.ts';
import { FILTER_LANGUAGES, LIMIT } from '#api/items/read-items-query.ts';
import { PAPER_FORMATS } from '#api/papers/papers.ts';
import { PORTFOLIO_PATHS, PORTFOLIO_SCHEMAS } from '#api/portfolio/portfolio-paths.ts';
import { PROCESS_PATHS, PROCESS_SCHEMAS } from '#api/processes/processes-paths.ts';
import { SITE_PATHS } from '#api/sites/sites-paths.ts';
import { TILE_PATHS } from '#api/tiles/tiles-paths.ts';
import { API_SCHEMAS } from './api-schemas.ts';
import {
  content,
  documentAnswer,
  operation,
  type Paths,
  parameterRef,
  pathParameter,
  queryParameter,
  ref,
  type Schema,
} from './openapi.ts';

const uri: Schema = { type: 'string', format: 'uri' };
const COLLECTION_ID = pathParameter('collectionId', 'id of the collection', {
  type: 'string',
  enum: COLLECTIONS.map(({ id }) => id),
});

const PARAMETERS: Readonly<Record<string, Schema>> = {
  f: queryParameter('f', 'form of the answer, instead of Accept', { type: 'string' }),
  share: queryParameter('share', 'secret of a share link, instead of a key', { type: 'string' }),
  limit: queryParameter('limit', 'most features of one page; more than the maximum counts as the maximum', {
    type: 'integer',
    ...LIMIT,
  }),
  offset: queryParameter('offset', 'features to pass over; following "next" is safer', {
    type: 'integer',
    minimum: 0,
    default: 0,
  }),
  after: queryParameter('after', 'only ids after this one: where the page before ended', { type: 'string' }),
  bbox: queryParameter('bbox', 'only features that meet this box: west, south, east, north', {
    type: 'array',
    items: { type: 'number' },
    minItems: 4,
    maxItems: 6,
  }),
  'bbox-crs': queryParameter('bbox-crs', 'coordinate system of bbox', uri),
  crs: queryParameter('crs', 'coordinate system of the answer', uri),
  datetime: queryParameter('datetime', 'only features written at this instant or in this interval', { type: 'string' }),
  filter: queryParameter('filter', 'only features for which this is true (CQL2)', { type: 'string' }),
  'filter-lang': queryParameter('filter-lang', 'language of the filter', {
    type: 'string',
    enum: FILTER_LANGUAGES,
    default: 'cql2-text',
  }),
  'filter-crs': queryParameter('filter-crs', 'coordinate system of geometries in the filter', uri),
  'Content-Crs': {
    name: 'Content-Crs',
    in: 'header',
    description: 'coordinate system of the body',
    schema: { type: 'string' },
  },
  'If-Match': {
    name: 'If-Match',
    in: 'header',
    description: 'write only if the content still has this ETag',
    schema: { type: 'string' },
  },
};

const COMMON = [parameterRef('f'), parameterRef('share')];

const COMMON_PATHS: Paths = {
  '/': {
    get: operation({
      id: 'landingPage',
      summary: 'What there is',
      tag: 'about',
      parameters: COMMON,
      answers: documentAnswer('links to everything', ref('landingPage')),
    }),
  },
  '/conformance': {
    get: operation({
      id: 'conformance',
      summary: 'Which standards are followed',
      tag: 'about',
      parameters: COMMON,
      answers: documentAnswer('conformance classes', ref('confClasses')),
    }),
  },
  '/api': {
    get: operation({
      id: 'api',
      summary: 'This document',
      tag: 'about',
      parameters: COMMON,
      answers: documentAnswer('OpenAPI 3.0', { type: 'object' }, 'application/vnd.oai.openapi+json;version=3.0'),
    }),
  },
  '/collections': {
    get: operation({
      id: 'collections',
      summary: 'The collections of features',
      tag: 'features',
      parameters: COMMON,
      answers: documentAnswer('all collections', ref('collections')),
    }),
  },
  '/collections/{collectionId}': {
    get: operation({
      id: 'collection',
      summary: 'One collection',
      tag: 'features',
      parameters: [COLLECTION_ID, ...COMMON],
      answers: documentAnswer('the collection', ref('collection')),
    }),
  },
  ...Object.fromEntries(
    ['queryables', 'schema'].map((name) => [
      `/collections/{collectionId}/${name}`,
      {
        get: operation({
          id: name,
          summary: name === 'schema' ? 'What features hold' : 'What a filter may ask for',
          tag: 'features',
          parameters: [
            COLLECTION_ID,
            ...COMMON,
            ...(name === 'schema' ? [queryParameter('type', 'kind of schema', { type: 'string' })] : []),
          ],
          answers: documentAnswer('a JSON Schema', ref('jsonSchema'), 'application/schema+json'),
        }),
      },
    ]),
  ),
};

/** What the service does beside the OGC side: at its own address, one folder up. */
function plainPaths(base: string): Paths {
  const servers = [{ url: base }];
  const json = (id: string, summary: string) => ({
    servers,
    get: operation({
      id,
      summary,
      tag: 'plain',
      answers: { '200': { description: summary, types: { 'application/json': { type: 'object' } } } },
    }),
  });
  return {
    '/plan': {
      servers,
      post: operation({
        id: 'plan',
        summary: 'Plan a site; nothing is kept',
        tag: 'plain',
        parameters: ['include', 'rules', 'units', 'crs', 'f', 'width'].map((name) =>
          queryParameter(name, 'see README', { type: 'string' }),
        ),
        body: {
          description: 'the site',
          types: { 'application/geo+json': ref('site'), 'application/json': ref('site') },
        },
        answers: {
          '200': {
            description: 'the plan, or a file or paper of it',
            types: {
              ...Object.fromEntries(
                [...FILE_FORMATS, ...PAPER_FORMATS].map(({ mediaType }) => [
                  mediaType.split(';')[0],
                  { type: 'string', format: 'binary' },
                ]),
              ),
              'application/geo+json': ref('plan'),
            },
          },
        },
      }),
    },
    '/fault': {
      servers,
      post: operation({
        id: 'fault',
        summary: 'Find the fault of a wire from what was measured on it; nothing is kept',
        tag: 'plain',
        body: { description: 'the plan and the measurements', types: { 'application/json': ref('faultQuestion') } },
        answers: {
          '200': {
            description: 'where the fault can be, and which splice to open next',
            types: { 'application/geo+json': { type: 'object' } },
          },
        },
      }),
    },
    '/rules': json('rules', 'The rule sets with unit, bounds and reason of every number'),
    '/health': json('health', 'Whether the service is well, and its limits'),
    '/ready': json('ready', 'Whether what is kept can be reached too'),
  };
}

/** The OpenAPI 3.0 document: complete, and nothing in it points elsewhere. */
export function apiDocument(root: string, version: string, keysWanted: boolean): object {
  return {
    openapi: '3.0.3',
    info: {
      title: 'Loopwright',
      version,
      description:
        'Plans the boundary wire of robotic mowers, keeps sites, and serves plans as features and tiles. The numbers are common practice: ' +
        "the machine's manual, local codes and a licensed electrician come first.",
      license: { name: 'MIT', url: 'https://opensource.org/license/mit' },
    },
    servers: [{ url: root }],
    tags: ['about', 'features', 'sites', 'tiles', 'processes', 'access', 'plain'].map((name) => ({ name })),
    ...(keysWanted && { security: [{ key: [] }, { bearer: [] }, {}] }),
    paths: {
      ...COMMON_PATHS,
      ...ITEM_PATHS,
      ...SITE_PATHS,
      ...TILE_PATHS,
      ...PROCESS_PATHS,
      ...PORTFOLIO_PATHS,
      ...ACCESS_PATHS,
      ...plainPaths(root.replace(/\/ogc$/, '')),
    },
    components: {
      schemas: { ...API_SCHEMAS, ...ITEM_SCHEMAS, ...PROCESS_SCHEMAS, ...PORTFOLIO_SCHEMAS },
      parameters: PARAMETERS,
      responses: {
        Problem: {
          description: 'why the request was not answered as asked (RFC 9457)',
          content: content({ 'application/problem+json': ref('problem'), 'application/json': ref('problem') }),
        },
      },
      ...(keysWanted && {
        securitySchemes: {
          key: { type: 'apiKey', in: 'header', name: 'X-API-Key' },
          bearer: { type: 'http', scheme: 'bearer' },
        },
      }),
    },
    externalDocs: {
      url: `${root.replace(/\/ogc$/, '')}/schemas/site`,
      description: `JSON Schemas: ${Object.keys(SCHEMAS).join(', ')}`,
    },
  };
}
