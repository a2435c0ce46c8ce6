import type { Context } from 'hono';
import { type Access, mayDo } from '#api/access/access.ts';
import type { AppEnv, Deps, Module } from '#api/app.ts';
import { extentOf, namedCollection } from '#api/collections/collections.module.ts';
import type { Collection } from '#api/collections/collections.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { HttpProblem } from '#api/problems.ts';
import { answerItem } from './answer-item.ts';
import { answerItems } from './answer-items.ts';
import { ITEM_PARAMETERS, parameterFields, readItemsQuery } from './read-items-query.ts';
import { setLocation } from './set-location.ts';
import { changeItem, createItem, removeItem } from './write-item.ts';

const ITEMS = `${ROOT_PATH}/collections/:collectionId/items` as const;
const ITEM = `${ITEMS}/:featureId` as const;

/** Features: lists of them, each by itself, and writing those that people give. */
export const itemsModule: Module = {
  name: 'items',
  mount(app, deps) {
    app.get(ITEMS, async (c) => {
      const collection = namedCollection(c.req.param('collectionId'));
      const own = parameterFields(collection).map(([name]) => name);
      const exchange = await openExchange(c, deps, 'read', [...ITEM_PARAMETERS, ...own]);
      const { query, access } = exchange;
      const extent = await extentOf(exchange, collection);
      const { tenant, siteId } = access;
      return answerItems(exchange, collection, readItemsQuery({ query, tenant, siteId, collection, extent }));
    });
    app.get(ITEM, async (c) => {
      const collection = namedCollection(c.req.param('collectionId'));
      const exchange = await openExchange(c, deps, 'read', ['crs']);
      return answerOne(exchange, collection, c.req.param('featureId'));
    });
    app.post(ITEMS, async (c) => {
      const { exchange, collection, write } = await openWrite(c, deps, c.req.param('collectionId'), itemsMethods);
      const id = await createItem(write, collection);
      const location = `${exchange.root}/collections/${collection.id}/items/${encodeURIComponent(id)}`;
      const answer = await answerOne(exchange, collection, id);
      setLocation(c, answer, location);
      return new Response(answer.body, { status: 201, headers: answer.headers });
    });
    app.put(ITEM, async (c) => {
      const { exchange, collection, write } = await openWrite(c, deps, c.req.param('collectionId'), itemMethods);
      await changeItem(write, collection, c.req.param('featureId'), false);
      return answerOne(exchange, collection, c.req.param('featureId'));
    });
    app.patch(ITEM, async (c) => {
      const { exchange, collection, write } = await openWrite(c, deps, c.req.param('collectionId'), itemMethods);
      await changeItem(write, collection, c.req.param('featureId'), true);
      return answerOne(exchange, collection, c.req.param('featureId'));
    });
    app.delete(ITEM, async (c) => {
      const { collection, write } = await openWrite(c, deps, c.req.param('collectionId'), itemMethods);
      await removeItem(write, collection, c.req.param('featureId'));
      return new Response(null, { status: 204 });
    });
    for (const [path, methods] of [
      [ITEMS, itemsMethods],
      [ITEM, itemMethods],
    ] as const) {
      app.options(path, async (c) => {
        const collection = namedCollection(c.req.param('collectionId'));
        const { access } = await openExchange(c, deps, 'read');
        return new Response(null, { status: 200, headers: { allow: methods(collection, access) } });
      });
    }
  },
};

/** What this caller may do with a list of features. */
function itemsMethods({ writable }: Collection, access: Access): string {
  return writable && mayDo(access, 'write') ? 'GET, HEAD, POST, OPTIONS' : 'GET, HEAD, OPTIONS';
}

function itemMethods({ writable }: Collection, access: Access): string {
  return writable && mayDo(access, 'write') ? 'GET, HEAD, PUT, PATCH, DELETE, OPTIONS' : 'GET, HEAD, OPTIONS';
}

async function openWrite(
  c: Context<AppEnv>,
  deps: Deps,
  collectionId: string,
  methods: (collection: Collection, access: Access) => string,
) {
  const collection = namedCollection(collectionId);
  const exchange = await openExchange(c, deps, collection.writable ? 'write' : 'read');
  const { house, access } = exchange;
  if (!collection.writable) {
    const allow = methods(collection, access);
    throw new HttpProblem({
      code: 'method-not-allowed',
      detail: `"${collection.id}" follows from the sites and cannot be written: write to sites, site-areas, site-lines or site-points`,
      headers: { allow },
    });
  }
  const write = {
    house,
    tenant: access.tenant,
    limits: deps.limits,
    request: c.req.raw,
    sitesMax: deps.settings.sitesMax,
  };
  return { exchange, collection, write };
}

/** The feature as it is now. */
async function answerOne(exchange: Exchange, collection: Collection, id: string): Promise<Response> {
  const { house, access } = exchange;
  const feature = await house.store.features.one(access.tenant, collection.id, id);
  if (feature === undefined || (access.siteId !== undefined && feature.siteId !== access.siteId)) {
    throw new HttpProblem({
      code: 'not-found',
      detail: `there is no feature "${id.slice(0, 80)}" in "${collection.id}"`,
    });
  }
  return answerItem(exchange, collection, feature, await extentOf(exchange, collection));
}
