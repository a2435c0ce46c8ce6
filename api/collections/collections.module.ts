import type { Module } from '#api/app.ts';
import { answerDocument } from '#api/ogc/answer.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { type Link, REL } from '#api/ogc/links.ts';
import { PAGE_CSS, sheetMap, table } from '#api/ogc/page.ts';
import { HttpProblem } from '#api/problems.ts';
import { COLLECTIONS, type Collection, collectionById } from './collections.ts';
import { collectionDocument, queryablesDocument, schemaDocument } from './describe.ts';

/** The collection a path names, or 404. */
export function namedCollection(id: string): Collection {
  const collection = collectionById(id);
  if (collection !== undefined) return collection;
  throw new HttpProblem({
    code: 'not-found',
    detail: `there is no collection "${id.slice(0, 80)}"; known are ${COLLECTIONS.map((known) => known.id).join(', ')}`,
  });
}

/** What there is of a collection for this caller. */
export function extentOf({ house, access }: Exchange, { id }: Collection) {
  return house.store.features.extent(access.tenant, id, access.siteId);
}

/** The list of collections, each by itself, and what its features hold. */
export const collectionsModule: Module = {
  name: 'collections',
  mount(app, deps) {
    app.get(`${ROOT_PATH}/page.css`, (c) =>
      c.body(PAGE_CSS, 200, { 'content-type': 'text/css; charset=utf-8', 'cache-control': 'public, max-age=86400' }),
    );
    app.get(`${ROOT_PATH}/collections`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const collections = await Promise.all(
        COLLECTIONS.map(async (collection) =>
          collectionDocument(exchange, collection, await extentOf(exchange, collection)),
        ),
      );
      const rows = collections.map(({ id, title, extent }) => [
        { href: `${exchange.root}/collections/${id}?f=html`, text: title },
        extent === undefined ? 'empty' : '',
      ]);
      return answerDocument(exchange, { title: 'Collections', json: { collections }, html: table([], rows) });
    });
    app.get(`${ROOT_PATH}/collections/:collectionId`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const collection = namedCollection(c.req.param('collectionId'));
      const extent = await extentOf(exchange, collection);
      const { links, ...json } = collectionDocument(exchange, collection, extent);
      const fields = Object.entries(collection.fields).map(([name, { title, unit, type }]) => [
        name,
        title,
        unit ?? type,
      ]);
      const [west, south, east, north] = extent?.box ?? [0, 0, 0, 0];
      const ground = {
        type: 'Polygon' as const,
        coordinates: [
          [
            [west, south],
            [east, south],
            [east, north],
            [west, north],
            [west, south],
          ],
        ],
      };
      const items = `${exchange.root}/collections/${collection.id}/items?f=html`;
      const map = extent === undefined ? '' : sheetMap([{ geometry: ground, title: 'its features', href: items }]);
      return answerDocument(exchange, {
        title: collection.title,
        description: collection.description,
        json,
        html: `${map}${table([], [[{ href: items, text: 'Features' }, `${extent?.count ?? 0}`]])}${table(['property', 'meaning', 'unit'], fields)}`,
        links: links.filter(({ rel }) => rel !== 'self' && rel !== 'alternate'),
      });
    });
    for (const [name, describe] of [
      ['queryables', queryablesDocument],
      ['schema', schemaDocument],
    ] as const) {
      app.get(`${ROOT_PATH}/collections/:collectionId/${name}`, async (c) => {
        const exchange = await openExchange(c, deps, 'read', name === 'schema' ? ['type'] : []);
        const collection = namedCollection(c.req.param('collectionId'));
        const fields = Object.entries(collection.fields).map(([field, { title, unit, type }]) => [
          field,
          title,
          unit ?? type,
        ]);
        return answerDocument(exchange, {
          title: `${collection.title}: ${name}`,
          json: describe(exchange.here, collection),
          html: table(['property', 'meaning', 'unit or type'], fields),
          mediaType: 'application/schema+json',
          withoutLinks: true,
        });
      });
    }
  },
};

/** Links of the landing page to what this module serves. */
export function collectionLandingLinks(root: string): Link[] {
  return [
    { rel: 'data', href: `${root}/collections?f=json`, type: 'application/json', title: 'collections of features' },
    {
      rel: `${REL}/data`,
      href: `${root}/collections?f=json`,
      type: 'application/json',
      title: 'collections of features',
    },
  ];
}
