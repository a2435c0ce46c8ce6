import {
  documentAnswer,
  operation,
  type Paths,
  parameterRef,
  pathParameter,
  queryParameter,
  type Schema,
} from '#api/ogc/openapi.ts';
import { MVT, TMS_ID } from './tilesets.ts';

const SCHEME = pathParameter('tileMatrixSetId', 'tiling scheme', { type: 'string', enum: [TMS_ID] });
const COLLECTION = pathParameter('collectionId', 'id of the collection');
const COMMON = [parameterRef('f'), parameterRef('share')];
const number: Schema = { type: 'integer', minimum: 0 };
const VERSION = queryParameter('v', 'version of the data: such an address never changes its content', {
  type: 'string',
});
const links: Schema = { type: 'array', items: { $ref: '#/components/schemas/link' } };
const anything: Schema = { type: 'object' };

const set: Schema = {
  type: 'object',
  required: ['dataType', 'crs', 'tileMatrixSetURI', 'tileMatrixSetLimits', 'links', 'layers', 'boundingBox'],
  properties: {
    dataType: { type: 'string', enum: ['vector'] },
    crs: { type: 'string' },
    tileMatrixSetURI: { type: 'string' },
    links,
  },
};
const TILE = {
  '200': { description: 'the tile', types: { [MVT]: { type: 'string', format: 'binary' } } },
  '204': { description: 'nothing lies in this tile' },
  '304': { description: 'unchanged since the ETag in If-None-Match' },
};

function tilePaths(base: string, name: string, parameters: readonly Schema[]): Paths {
  const get = (
    id: string,
    summary: string,
    own: readonly Schema[],
    answers: Parameters<typeof operation>[0]['answers'],
  ) => ({
    get: operation({ id: `${name}.${id}`, summary, tag: 'tiles', parameters: [...parameters, ...own], answers }),
  });
  const json = (schema: Schema) => ({ '200': { description: 'the document', types: { 'application/json': schema } } });
  return {
    [`${base}/tiles`]: get(
      'vector.getTileSetsList',
      'Tilesets',
      COMMON,
      documentAnswer('tilesets', {
        type: 'object',
        required: ['tilesets'],
        properties: { tilesets: { type: 'array', items: set }, links },
      }),
    ),
    [`${base}/tiles/tilejson.json`]: get(
      'tilejson',
      'Tiles as TileJSON',
      COMMON,
      json({ type: 'object', required: ['tilejson', 'tiles', 'vector_layers'] }),
    ),
    [`${base}/tiles/{tileMatrixSetId}`]: get(
      'vector.getTileSet',
      'A tileset',
      [SCHEME, ...COMMON],
      documentAnswer('the tileset', set),
    ),
    [`${base}/tiles/{tileMatrixSetId}/{tileMatrix}/{tileRow}/{tileCol}`]: get(
      'vector.getTile',
      'A vector tile, row before column',
      [
        SCHEME,
        pathParameter('tileMatrix', 'zoom', number),
        pathParameter('tileRow', 'row from the north', number),
        pathParameter('tileCol', 'column from the west', number),
        VERSION,
        ...COMMON,
      ],
      TILE,
    ),
    [`${base}/xyz/metadata.json`]: get(
      'xyz.metadata',
      'Tiles as file readers want them described',
      COMMON,
      json(anything),
    ),
    [`${base}/xyz/{z}/{x}/{y}.pbf`]: get(
      'xyz.tile',
      'A vector tile, column before row',
      [...['z', 'x', 'y'].map((part) => pathParameter(part, part, number)), VERSION, ...COMMON],
      TILE,
    ),
  };
}

/** Tiles of everything and of every collection, tiling schemes, styles. */
export const TILE_PATHS: Paths = {
  '/tileMatrixSets': {
    get: operation({
      id: 'getTileMatrixSetsList',
      summary: 'Tiling schemes',
      tag: 'tiles',
      parameters: COMMON,
      answers: documentAnswer('the schemes', anything),
    }),
  },
  '/tileMatrixSets/{tileMatrixSetId}': {
    get: operation({
      id: 'getTileMatrixSet',
      summary: 'A tiling scheme',
      tag: 'tiles',
      parameters: [SCHEME, ...COMMON],
      answers: documentAnswer('the scheme', { type: 'object', required: ['crs', 'tileMatrices'] }),
    }),
  },
  ...tilePaths('', 'dataset', []),
  ...tilePaths('/collections/{collectionId}', 'collection', [COLLECTION]),
  '/styles': {
    get: operation({
      id: 'styles',
      summary: 'Styles',
      tag: 'tiles',
      parameters: COMMON,
      answers: documentAnswer('the styles', anything),
    }),
  },
  '/styles/{styleId}': {
    get: operation({
      id: 'style',
      summary: 'A style for maps',
      tag: 'tiles',
      parameters: [pathParameter('styleId', 'all, or id of a collection'), ...COMMON],
      answers: { '200': { description: 'the style', types: { 'application/vnd.mapbox.style+json': anything } } },
    }),
  },
};
