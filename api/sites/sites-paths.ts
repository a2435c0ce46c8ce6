import {
  operation,
  type Paths,
  parameterRef,
  pathParameter,
  queryParameter,
  ref,
  type Schema,
} from '#api/ogc/openapi.ts';
import { SITE_PAPERS } from '#api/papers/site-papers.ts';
import { BOOK_KINDS } from '#api/store/books.ts';

const SITE_ID = pathParameter('siteId', 'id of the site');
const GEOJSON = 'application/geo+json';
const SHARED = [SITE_ID, parameterRef('share')];
const version = { type: 'integer', minimum: 1 };

const versions: Schema = {
  type: 'object',
  required: ['versions'],
  properties: {
    versions: {
      type: 'array',
      items: {
        type: 'object',
        required: ['version', 'inputHash', 'created'],
        properties: { version, inputHash: { type: 'string' }, created: { type: 'string', format: 'date-time' } },
      },
    },
  },
};

const books: Schema = {
  type: 'object',
  required: ['books'],
  properties: {
    books: {
      type: 'array',
      items: {
        type: 'object',
        required: ['id', 'mediaType', 'byteCount', 'digest', 'updated'],
        properties: {
          id: { type: 'string' },
          mediaType: { type: 'string' },
          byteCount: { type: 'integer' },
          digest: { type: 'string' },
          updated: { type: 'string' },
        },
      },
    },
  },
};

/** Sites and plans as whole documents, and what sites name by id. */
export const SITE_PATHS: Paths = {
  '/sites/{siteId}': {
    get: operation({
      id: 'site.document',
      summary: 'A site as one FeatureCollection, as POST /plan takes it',
      tag: 'sites',
      parameters: SHARED,
      answers: {
        '200': { description: 'the site', types: { [GEOJSON]: ref('site') } },
        '304': { description: 'unchanged since the ETag in If-None-Match' },
      },
    }),
  },
  '/sites/{siteId}/plan': {
    get: operation({
      id: 'site.plan',
      summary: 'The plan of a site as one document',
      tag: 'sites',
      parameters: [...SHARED, queryParameter('version', 'an older version', version)],
      answers: { '200': { description: 'the plan', types: { [GEOJSON]: ref('plan') } } },
    }),
  },
  ...Object.fromEntries(
    SITE_PAPERS.map(({ path, summary }) => [
      `/sites/{siteId}/${path}`,
      {
        get: operation({
          id: `site.${path}`,
          summary,
          tag: 'sites',
          parameters: [
            ...SHARED,
            queryParameter('version', 'of an older version of the plan', version),
            queryParameter('f', 'form of the paper', { type: 'string', enum: ['pdf', 'html'] }),
          ],
          answers: {
            '200': {
              description: 'the paper',
              types: { 'application/pdf': { type: 'string', format: 'binary' }, 'text/html': { type: 'string' } },
            },
          },
        }),
      },
    ]),
  ),
  '/sites/{siteId}/plans': {
    get: operation({
      id: 'site.plans',
      summary: 'All versions of the plan of a site',
      tag: 'sites',
      parameters: SHARED,
      answers: { '200': { description: 'the versions', types: { 'application/json': versions } } },
    }),
  },
  ...Object.fromEntries(
    BOOK_KINDS.flatMap((kind) => [
      [
        `/${kind}`,
        {
          get: operation({
            id: `${kind}.list`,
            summary: `All ${kind} of the firm`,
            tag: 'sites',
            answers: { '200': { description: 'what there is', types: { 'application/json': books } } },
          }),
        },
      ],
      [
        `/${kind}/{bookId}`,
        Object.fromEntries(
          (['get', 'put', 'delete'] as const).map((method) => [
            method,
            operation({
              id: `${kind}.${method}`,
              summary: { get: 'Read', put: 'Keep or replace', delete: 'Remove' }[method],
              tag: 'sites',
              parameters: [pathParameter('bookId', 'its id, which sites name')],
              ...(method === 'put' && {
                body: {
                  description: 'its content',
                  types:
                    kind === 'grids'
                      ? {
                          'image/tiff': { type: 'string', format: 'binary' },
                          'text/plain': { type: 'string' },
                          'application/json': { type: 'object' },
                        }
                      : { 'application/json': { type: 'object' } },
                },
              }),
              answers:
                method === 'get'
                  ? {
                      '200': {
                        description: 'its content',
                        types:
                          kind === 'grids'
                            ? { '*/*': { type: 'string', format: 'binary' } }
                            : { 'application/json': { type: 'object' } },
                      },
                    }
                  : { '204': { description: method === 'put' ? 'kept' : 'removed' } },
            }),
          ]),
        ),
      ],
    ]),
  ),
};
