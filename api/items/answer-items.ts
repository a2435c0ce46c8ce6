import type { Collection } from '#api/collections/collections.ts';
import type { CrsWay } from '#api/collections/coordinate-systems.ts';
import { ITEM_FORMATS } from '#api/collections/describe.ts';
import { CRS84_URI, parseCrs } from '#api/contract/parse-crs.ts';
import { htmlResponse } from '#api/ogc/answer.ts';
import { chosenOffer, type Exchange } from '#api/ogc/exchange.ts';
import { addressOf, type Link, selfLinks } from '#api/ogc/links.ts';
import { page, sheetMap, table } from '#api/ogc/page.ts';
import { findItems } from './find-items.ts';
import { type ItemFeature, itemFeature } from './item-feature.ts';
import { itemsCsv } from './items-csv.ts';
import { itemsFlatGeobuf } from './items-flatgeobuf.ts';
import type { ItemsQuery } from './read-items-query.ts';

type ItemsPage = {
  readonly collection: Collection;
  readonly features: readonly ItemFeature[];
  readonly matched: number;
  readonly links: readonly Link[];
  readonly timeStamp: string;
};

const RECORD_SEPARATOR = '\u001e';

/** A page of features in the form the caller likes best. */
export async function answerItems(exchange: Exchange, collection: Collection, query: ItemsQuery): Promise<Response> {
  const chosen = chosenOffer(exchange, ITEM_FORMATS);
  const { features: kept, matched, hasMore } = await findItems(exchange.house.store.features, query);
  const features = kept.map((feature) => itemFeature(collection, feature, query.way));
  const links = pageLinks(exchange, chosen, hasMore ? kept.at(-1)?.id : undefined);
  const items = { collection, features, matched, links, timeStamp: exchange.house.now() };
  const next = links.find(({ rel }) => rel === 'next');
  const headers = {
    'content-crs': `<${query.way.uri}>`,
    vary: 'Accept, Authorization',
    'cache-control': 'private, no-cache',
    ...(next !== undefined && { link: `<${next.href}>; rel="next"; type="${next.type}"` }),
  };
  if (chosen.id === 'html') return htmlResponse(itemsPage(exchange, items, query.way), headers);
  return new Response(written(chosen.id, items, query.way), {
    headers: { ...headers, 'content-type': mediaTypeOf(chosen) },
  });
}

function mediaTypeOf({ id, mediaType }: { readonly id: string; readonly mediaType: string }): string {
  return id === 'csv' ? `${mediaType}; charset=utf-8; header=present` : mediaType;
}

function pageLinks(
  exchange: Exchange,
  chosen: { readonly id: string; readonly mediaType: string },
  last: string | undefined,
): Link[] {
  const links = selfLinks(exchange, { ...chosen }, ITEM_FORMATS);
  if (last === undefined) return links;
  const href = addressOf(exchange, { f: chosen.id, after: last, offset: undefined });
  return [...links, { rel: 'next', href, type: chosen.mediaType, title: 'the next page' }];
}

function written(form: string, page: ItemsPage, way: CrsWay): string | Uint8Array<ArrayBuffer> {
  const { collection, features, matched, links, timeStamp } = page;
  switch (form) {
    case 'jsonseq':
      return features.map((feature) => `${RECORD_SEPARATOR}${JSON.stringify(feature)}\n`).join('');
    case 'csv':
      return itemsCsv(collection, features);
    case 'fgb':
      return Uint8Array.from(itemsFlatGeobuf(collection, features, epsgOf(way)));
    default:
      return JSON.stringify({
        type: 'FeatureCollection',
        timeStamp,
        numberMatched: matched,
        numberReturned: features.length,
        links,
        features,
      });
  }
}

function epsgOf({ uri }: CrsWay): number {
  return uri === CRS84_URI ? 4326 : (parseCrs(uri)?.crs.epsg ?? 0);
}

const COLUMNS_MAX = 8;
const ROWS_MAX = 200;

function itemsPage({ root }: Exchange, { collection, features, matched, links }: ItemsPage, way: CrsWay): string {
  const names = Object.keys(collection.fields).slice(0, COLUMNS_MAX);
  const href = (id: string) => `${root}/collections/${collection.id}/items/${encodeURIComponent(id)}?f=html`;
  const rows = features
    .slice(0, ROWS_MAX)
    .map(({ id, properties }) => [{ href: href(id), text: id }, ...names.map((name) => shown(properties[name]))]);
  const marks = features.map(({ id, geometry }) => ({ geometry, title: id, href: href(id) }));
  const map = way.isLonLat ? sheetMap(marks) : '';
  const about = `${features.length} of ${matched}${features.length > ROWS_MAX ? `, the first ${ROWS_MAX} in the table` : ''}.`;
  return page({
    title: collection.title,
    description: `${collection.description} ${about}`,
    links,
    root,
    body: `${map}${table(['id', ...names], rows)}`,
  });
}

export function shown(value: unknown): string {
  if (value === null || value === undefined) return '';
  const text = typeof value === 'string' ? value : JSON.stringify(value);
  return text.length > 120 ? `${text.slice(0, 120)}…` : text;
}
