import type { Collection } from '#api/collections/collections.ts';
import { type Link, REL } from '#api/ogc/links.ts';
import type { Extent } from '#api/store/features.ts';
import type { Box } from '#api/store/geometry.ts';
import { HALF_SQUARE_M, TILE_EXTENT, tileAt } from '#geo-core/index.ts';
import { SHAPES_FROM_ZOOM, ZOOM_MAX } from './make-tile.ts';

export const MVT = 'application/vnd.mapbox-vector-tile';
export const TMS_ID = 'WebMercatorQuad';
const TMS_URI = 'http://www.opengis.net/def/tilematrixset/OGC/1.0/WebMercatorQuad';
const CRS_3857 = 'http://www.opengis.net/def/crs/EPSG/0/3857';
/** Metres of a pixel of the standard rendering, OGC 17-083r4, 6.1.1. */
const PIXEL_M = 0.000_28;
const PIXELS = 256;
const WORLD: Box = [-180, -85.0511, 180, 85.0511];

/** The tile matrix set WebMercatorQuad down to the deepest zoom served (OGC 17-083r4, annex D.1). */
export function tileMatrixSet(): object {
  return {
    id: TMS_ID,
    title: 'Google Maps Compatible for the World',
    uri: TMS_URI,
    crs: CRS_3857,
    orderedAxes: ['X', 'Y'],
    wellKnownScaleSet: 'http://www.opengis.net/def/wkss/OGC/1.0/GoogleMapsCompatible',
    tileMatrices: Array.from({ length: ZOOM_MAX + 1 }, (_, z) => {
      const cellSize = (2 * HALF_SQUARE_M) / PIXELS / 2 ** z;
      return {
        id: String(z),
        scaleDenominator: cellSize / PIXEL_M,
        cellSize,
        cornerOfOrigin: 'topLeft',
        pointOfOrigin: [-HALF_SQUARE_M, HALF_SQUARE_M],
        tileWidth: PIXELS,
        tileHeight: PIXELS,
        matrixWidth: 2 ** z,
        matrixHeight: 2 ** z,
      };
    }),
  };
}

/** What a set of tiles is of: a collection, or everything. */
export type Tiled = {
  readonly id: string;
  readonly title: string;
  readonly layers: readonly Collection[];
  /** Address below which its tiles lie: that of the collection, or of the API. */
  readonly base: string;
  readonly extent: Extent | undefined;
  /** Of the data: part of every address of a tile. */
  readonly version: string;
};

export function boxOfTiled({ extent }: Tiled): Box {
  return extent?.box ?? WORLD;
}

function limitsOf(box: Box) {
  return Array.from({ length: ZOOM_MAX + 1 }, (_, z) => {
    const upperLeft = tileAt(box[0], box[3], z);
    const lowerRight = tileAt(box[2], box[1], z);
    return {
      tileMatrix: String(z),
      minTileRow: upperLeft.row,
      maxTileRow: lowerRight.row,
      minTileCol: upperLeft.column,
      maxTileCol: lowerRight.column,
    };
  });
}

/** The metadata of a tileset (OGC 20-057, OGC 17-083r4), whole: clients read it from the list too. */
export function tileset(root: string, tiled: Tiled) {
  const { title, base, layers, version } = tiled;
  const [west, south, east, north] = boxOfTiled(tiled);
  const links: Link[] = [
    { rel: 'self', href: `${base}/tiles/${TMS_ID}?f=json`, type: 'application/json', title },
    { rel: 'alternate', href: `${base}/tiles/tilejson.json`, type: 'application/json', title: 'TileJSON' },
    {
      rel: `${REL}/tiling-scheme`,
      href: `${root}/tileMatrixSets/${TMS_ID}?f=json`,
      type: 'application/json',
      title: TMS_ID,
    },
    {
      rel: 'item',
      href: `${base}/tiles/${TMS_ID}/{tileMatrix}/{tileRow}/{tileCol}?v=${version}`,
      type: MVT,
      templated: true,
      title: 'vector tiles',
    },
  ];
  return {
    title,
    dataType: 'vector',
    crs: CRS_3857,
    tileMatrixSetId: TMS_ID,
    tileMatrixSetURI: TMS_URI,
    tileMatrixSetLimits: limitsOf(boxOfTiled(tiled)),
    boundingBox: {
      lowerLeft: [west, south],
      upperRight: [east, north],
      crs: 'http://www.opengis.net/def/crs/OGC/1.3/CRS84',
    },
    layers: layers.map(({ id, title: layer, family, fields }) => ({
      id,
      title: layer,
      dataType: 'vector',
      geometryDimension: { point: 0, line: 1, polygon: 2 }[family],
      minTileMatrix: '0',
      maxTileMatrix: String(ZOOM_MAX),
      propertiesSchema: {
        type: 'object',
        properties: Object.fromEntries(
          Object.entries(fields).map(([name, { type, title: about }]) => [name, { type, title: about }]),
        ),
      },
    })),
    links,
  };
}

function vectorLayers(layers: readonly Collection[]) {
  return layers.map(({ id, title, fields }) => ({
    id,
    description: title,
    minzoom: 0,
    maxzoom: ZOOM_MAX,
    fields: Object.fromEntries(
      Object.entries({ id: { type: 'string' }, ...fields }).map(([name, { type }]) => [
        name,
        type === 'number' || type === 'integer' ? 'Number' : type === 'boolean' ? 'Boolean' : 'String',
      ]),
    ),
  }));
}

function viewOf(tiled: Tiled) {
  const [west, south, east, north] = boxOfTiled(tiled);
  return {
    bounds: [west, south, east, north],
    center: [(west + east) / 2, (south + north) / 2, tiled.extent === undefined ? 0 : SHAPES_FROM_ZOOM + 3],
  };
}

/** TileJSON 3.0.0. */
export function tileJson(tiled: Tiled): object {
  return {
    tilejson: '3.0.0',
    name: tiled.title,
    version: '1.0.0',
    scheme: 'xyz',
    tiles: [`${tiled.base}/xyz/{z}/{x}/{y}.pbf?v=${tiled.version}`],
    minzoom: 0,
    maxzoom: ZOOM_MAX,
    ...viewOf(tiled),
    vector_layers: vectorLayers(tiled.layers),
  };
}

/** The metadata table of MBTiles 1.3 as JSON, which file-based readers look for beside the folders of zooms. */
export function tileMetadata(tiled: Tiled): object {
  const { bounds, center } = viewOf(tiled);
  return {
    name: tiled.title,
    description: tiled.title,
    version: '2',
    minzoom: '0',
    maxzoom: String(ZOOM_MAX),
    bounds: bounds.join(','),
    center: center.join(','),
    type: 'overlay',
    format: 'pbf',
    extent: String(TILE_EXTENT),
    json: JSON.stringify({ vector_layers: vectorLayers(tiled.layers) }),
  };
}
