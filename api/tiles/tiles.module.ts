import { createHash } from 'node:crypto';
import type { Context } from 'hono';
import type { AppEnv, Module } from '#api/app.ts';
import { extentOf, namedCollection } from '#api/collections/collections.module.ts';
import { COLLECTIONS } from '#api/collections/collections.ts';
import { isMatch } from '#api/items/etags.ts';
import { answerDocument } from '#api/ogc/answer.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { type Link, REL } from '#api/ogc/links.ts';
import { table } from '#api/ogc/page.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Extent } from '#api/store/features.ts';
import type { Tile } from '#geo-core/index.ts';
import { makeTile, ZOOM_MAX } from './make-tile.ts';
import { styleOf } from './style.ts';
import { tileCache } from './tile-cache.ts';
import { MVT, type Tiled, TMS_ID, tileJson, tileMatrixSet, tileMetadata, tileset } from './tilesets.ts';

const CACHE_BYTES_MAX = 64 * 1024 * 1024;
const YEAR_S = 31_536_000;
/** Of the whole, and of each collection. */
const BASES = ['', '/collections/:collectionId'] as const;

/** Vector tiles of everything and of every collection, by the names that the different readers know them by; and how to draw them. */
export const tilesModule: Module = {
  name: 'tiles',
  mount(app, deps) {
    const cached = tileCache(CACHE_BYTES_MAX);

    async function answerTile(c: Context<AppEnv>, collectionId: string | undefined, tile: Tile): Promise<Response> {
      const exchange = await openExchange(c, deps, 'read', ['v']);
      const collection = collectionId === undefined ? undefined : namedCollection(collectionId);
      const { house, access, query } = exchange;
      const version = await versionOf(exchange);
      const key = `${access.tenant}/${access.siteId ?? ''}/${version}/${collectionId ?? ''}/${tile.z}/${tile.column}/${tile.row}`;
      const scope = { tenant: access.tenant, site: access.siteId };
      const { bytes, gzipped, etag } = await cached(key, () => makeTile(house.store.features, scope, collection, tile));
      const who = deps.settings.auth === 'off' ? 'public' : 'private';
      const isCurrent = query.get('v') === version;
      const headers = new Headers({
        'content-type': MVT,
        etag,
        vary: 'Accept-Encoding, Authorization',
        'cache-control': isCurrent ? `${who}, max-age=${YEAR_S}, immutable` : `${who}, max-age=10`,
      });
      const isKnown = isMatch(c.req.header('if-none-match'), etag.slice(1, -1));
      if (isKnown || bytes.length === 0) {
        headers.delete('content-type');
        return new Response(null, { status: isKnown ? 304 : 204, headers });
      }
      if (!/\bgzip\b/.test(c.req.header('accept-encoding') ?? '')) return new Response(bytes, { headers });
      headers.set('content-encoding', 'gzip');
      return new Response(gzipped, { headers });
    }

    app.get(`${ROOT_PATH}/tileMatrixSets`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const href = `${exchange.root}/tileMatrixSets/${TMS_ID}?f=json`;
      const sets = [{ id: TMS_ID, title: TMS_ID, links: [{ rel: 'self', href, type: 'application/json' }] }];
      return answerDocument(exchange, {
        title: 'Tiling schemes',
        json: { tileMatrixSets: sets },
        html: table([], [[{ href, text: TMS_ID }]]),
      });
    });
    app.get(`${ROOT_PATH}/tileMatrixSets/:tileMatrixSetId`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      checkScheme(c.req.param('tileMatrixSetId'));
      return answerDocument(exchange, {
        title: TMS_ID,
        json: tileMatrixSet(),
        html: table([], [['zooms', `0 to ${ZOOM_MAX}`]]),
      });
    });
    for (const base of BASES) {
      const path = `${ROOT_PATH}${base}` as const;
      const tiledOf = async (c: Context<AppEnv>) => {
        const exchange = await openExchange(c, deps, 'read');
        return { exchange, tiled: await describeTiled(exchange, c.req.param('collectionId')) };
      };
      const json = (document: object) => ({
        headers: { 'content-type': 'application/json', 'cache-control': 'private, no-cache' },
        body: JSON.stringify(document),
      });
      app.get(`${path}/tiles/tilejson.json`, async (c) => {
        const { body, headers } = json(tileJson((await tiledOf(c)).tiled));
        return new Response(body, { headers });
      });
      app.get(`${path}/xyz/metadata.json`, async (c) => {
        const { body, headers } = json(tileMetadata((await tiledOf(c)).tiled));
        return new Response(body, { headers });
      });
      app.get(`${path}/tiles`, async (c) => {
        const { exchange, tiled } = await tiledOf(c);
        const set = tileset(exchange.root, tiled);
        const href = `${tiled.base}/tiles/${TMS_ID}?f=html`;
        return answerDocument(exchange, {
          title: `Tiles: ${tiled.title}`,
          json: { tilesets: [set] },
          html: table([], [[{ href, text: TMS_ID }]]),
        });
      });
      app.get(`${path}/tiles/:tileMatrixSetId`, async (c) => {
        const { exchange, tiled } = await tiledOf(c);
        checkScheme(c.req.param('tileMatrixSetId'));
        const { links, ...set } = tileset(exchange.root, tiled);
        const rows = links.map(({ rel, href, title = '' }) => [rel.replace(/^.*\//, ''), title, href]);
        return answerDocument(exchange, {
          title: `Tiles: ${tiled.title}`,
          json: set,
          html: table(['what', 'title', 'address'], rows),
          links: links.filter(({ rel }) => rel !== 'self'),
        });
      });
      app.get(`${path}/tiles/:tileMatrixSetId/:tileMatrix/:tileRow/:tileCol`, (c) => {
        const { tileMatrixSetId, tileMatrix, tileRow, tileCol } = c.req.param();
        checkScheme(tileMatrixSetId);
        return answerTile(c, c.req.param('collectionId'), readTile(tileMatrix, tileCol, tileRow));
      });
      app.get(`${path}/xyz/:z/:x/:y{[0-9]+\\.pbf}`, (c) => {
        const { z, x, y } = c.req.param();
        return answerTile(c, c.req.param('collectionId'), readTile(z, x, y.replace('.pbf', '')));
      });
    }
    app.get(`${ROOT_PATH}/styles`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const styles = ['all', ...COLLECTIONS.map(({ id }) => id)].map((id) => ({
        id,
        title: id,
        links: [{ rel: 'stylesheet', href: `${exchange.root}/styles/${id}`, type: STYLE }],
      }));
      return answerDocument(exchange, {
        title: 'Styles',
        json: { default: 'all', styles },
        html: table(
          [],
          styles.map(({ id, links: [{ href }] }) => [{ href, text: id }]),
        ),
      });
    });
    app.get(`${ROOT_PATH}/styles/:styleId`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const id = c.req.param('styleId');
      const tiled = await describeTiled(exchange, id === 'all' ? undefined : id);
      return new Response(JSON.stringify(styleOf(tiled)), {
        headers: { 'content-type': STYLE, 'cache-control': 'private, no-cache' },
      });
    });
  },
};

const STYLE = 'application/vnd.mapbox.style+json';

/** Links of the landing page to what this module serves. */
export function tilesLandingLinks(root: string): Link[] {
  const json = 'application/json';
  return [
    { rel: `${REL}/tilesets-vector`, href: `${root}/tiles?f=json`, type: json, title: 'vector tiles of everything' },
    { rel: `${REL}/tiling-schemes`, href: `${root}/tileMatrixSets?f=json`, type: json, title: 'tiling schemes' },
    { rel: `${REL}/styles`, href: `${root}/styles?f=json`, type: json, title: 'styles' },
  ];
}

/** Changes with everything the tenant writes. */
async function versionOf({ house, access }: Exchange): Promise<string> {
  const revision = await house.store.tenants.revision(access.tenant);
  return createHash('sha256').update(`${access.tenant} ${revision}`).digest('base64url').slice(0, 12);
}

async function describeTiled(exchange: Exchange, collectionId: string | undefined): Promise<Tiled> {
  const version = await versionOf(exchange);
  if (collectionId === undefined) {
    const extents = await Promise.all(COLLECTIONS.map((collection) => extentOf(exchange, collection)));
    return {
      id: 'all',
      title: 'Everything',
      layers: COLLECTIONS,
      base: exchange.root,
      extent: joined(extents),
      version,
    };
  }
  const collection = namedCollection(collectionId);
  const extent = await extentOf(exchange, collection);
  const base = `${exchange.root}/collections/${collection.id}`;
  return { id: collection.id, title: collection.title, layers: [collection], base, extent, version };
}

function joined(extents: readonly (Extent | undefined)[]): Extent | undefined {
  return extents.reduce((whole, one) => {
    if (whole === undefined || one === undefined) return whole ?? one;
    const [a, b] = [whole.box, one.box];
    return {
      count: whole.count + one.count,
      box: [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])],
      from: [whole.from, one.from].toSorted()[0],
      to: [whole.to, one.to].toSorted()[1],
    };
  }, undefined);
}

function checkScheme(id: string): void {
  if (id === TMS_ID) return;
  throw new HttpProblem({
    code: 'not-found',
    detail: `there is no tiling scheme "${id.slice(0, 80)}"; known is ${TMS_ID}`,
  });
}

function readTile(zText: string, columnText: string, rowText: string): Tile {
  const [z, column, row] = [zText, columnText, rowText].map((text) =>
    /^\d{1,8}$/.test(text) ? Number(text) : Number.NaN,
  );
  if (Number.isNaN(z) || Number.isNaN(column) || Number.isNaN(row)) {
    throw new HttpProblem({ code: 'invalid-parameter', detail: 'zoom, row and column of a tile are whole numbers' });
  }
  if (z <= ZOOM_MAX && column < 2 ** z && row < 2 ** z) return { z, column, row };
  throw new HttpProblem({
    code: 'not-found',
    detail: `there is no tile ${z}/${row}/${column}: zooms are 0 to ${ZOOM_MAX}`,
  });
}
