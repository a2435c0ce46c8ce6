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
import { BOOK_KINDS, type BookKind } from '#api/store/books.ts';

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

const bookEntries: Schema = {
  type: 'array',
  items: {
    type: 'object',
    required: ['id', 'version', 'mediaType', 'byteCount', 'digest', 'updated'],
    properties: {
      id: { type: 'string' },
      version,
      mediaType: { type: 'string' },
      byteCount: { type: 'integer' },
      digest: { type: 'string' },
      updated: { type: 'string' },
    },
  },
};
const books: Schema = { type: 'object', required: ['books'], properties: { books: bookEntries } };
const bookVersions: Schema = { type: 'object', required: ['versions'], properties: { versions: bookEntries } };
const BOOK_ID = pathParameter('bookId', 'its id, which sites name, alone or with a version (`ours@3`)');
const ETAG: Schema = { etag: { description: 'validator of this version', schema: { type: 'string' } } };
const JSON_OBJECT: Schema = { type: 'object' };

/** What a firm keeps of one kind: list, read (any version), keep a new version, take off the list. */
function bookPaths(kind: BookKind): Paths {
  const isGrid = kind === 'grids';
  const bodies = isGrid
    ? {
        'image/tiff': { type: 'string', format: 'binary' },
        'text/plain': { type: 'string' },
        'application/json': JSON_OBJECT,
      }
    : { 'application/json': kind === 'price-books' ? ref('priceBook') : JSON_OBJECT };
  const gone = { '304': { description: 'as the caller has it', headers: ETAG } };
  return {
    [`/${kind}`]: {
      get: operation({
        id: `${kind}.list`,
        summary: `All ${kind} of the firm`,
        tag: 'sites',
        answers: { '200': { description: 'what there is', types: { 'application/json': books } } },
      }),
    },
    [`/${kind}/{bookId}`]: {
      get: operation({
        id: `${kind}.get`,
        summary: 'Read it, or an older version of it',
        tag: 'sites',
        parameters: [BOOK_ID, queryParameter('version', 'an older version', version)],
        answers: {
          '200': {
            description: 'its content',
            headers: ETAG,
            types: isGrid ? { '*/*': { type: 'string', format: 'binary' } } : bodies,
          },
          ...gone,
        },
      }),
      put: operation({
        id: `${kind}.put`,
        summary: 'Keep it, or a new version of it (If-Match: only if nobody wrote meanwhile)',
        tag: 'sites',
        parameters: [BOOK_ID],
        body: { description: 'its content', types: bodies },
        answers: { '204': { description: 'kept', headers: ETAG } },
      }),
      delete: operation({
        id: `${kind}.delete`,
        summary: 'Take it off the list; its versions stay for the plans made with them',
        tag: 'sites',
        parameters: [BOOK_ID],
        answers: { '204': { description: 'removed' } },
      }),
    },
    [`/${kind}/{bookId}/versions`]: {
      get: operation({
        id: `${kind}.versions`,
        summary: 'All versions that were kept, oldest first',
        tag: 'sites',
        parameters: [BOOK_ID],
        answers: { '200': { description: 'the versions', types: { 'application/json': bookVersions } } },
      }),
    },
  };
}

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
  ...Object.assign({}, ...BOOK_KINDS.map(bookPaths)),
};
