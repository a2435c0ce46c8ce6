import type { Collection } from '#api/collections/collections.ts';
import { crsUris, crsWay } from '#api/collections/coordinate-systems.ts';
import { htmlResponse } from '#api/ogc/answer.ts';
import { chosenOffer, type Exchange, HTML_OFFER } from '#api/ogc/exchange.ts';
import { type Link, selfLinks } from '#api/ogc/links.ts';
import { page, sheetMap, table } from '#api/ogc/page.ts';
import type { Extent, KeptFeature } from '#api/store/features.ts';
import { shown } from './answer-items.ts';
import { isMatch } from './etags.ts';
import { itemFeature } from './item-feature.ts';

const OFFERS = [{ id: 'json', mediaType: 'application/geo+json', also: ['application/json'] }, HTML_OFFER];

/** One feature, with an ETag that tells its content. */
export function answerItem(
  exchange: Exchange,
  collection: Collection,
  feature: KeptFeature,
  extent: Extent | undefined,
): Response {
  const { c, root, query } = exchange;
  const way = crsWay('crs', query.get('crs'), crsUris(extent?.box));
  const chosen = chosenOffer(exchange, OFFERS);
  const form = [
    chosen.id === 'json' ? '' : `.${chosen.id}`,
    way.isLonLat ? '' : `.${way.uri.replace(/^.*\//, '')}`,
  ].join('');
  const headers = {
    etag: `"${feature.digest}${form}"`,
    'content-crs': `<${way.uri}>`,
    vary: 'Accept, Authorization',
    'cache-control': 'private, no-cache',
  };
  if (isMatch(c.req.header('if-none-match'), `${feature.digest}${form}`))
    return new Response(null, { status: 304, headers });
  const links: Link[] = [
    ...selfLinks(exchange, chosen, OFFERS),
    {
      rel: 'collection',
      href: `${root}/collections/${collection.id}?f=json`,
      type: 'application/json',
      title: collection.title,
    },
    ...planLinks(root, feature),
  ];
  const item = itemFeature(collection, feature, way);
  if (chosen.id === 'html') {
    const rows = Object.entries(item.properties).map(([name, value]) => [name, shown(value)]);
    const body = `${sheetMap([{ geometry: feature.geometry, title: feature.id }])}${table([], rows)}`;
    return htmlResponse(page({ title: `${collection.title}: ${feature.id}`, links, body, root }), headers);
  }
  return new Response(JSON.stringify({ ...item, links }), {
    headers: { ...headers, 'content-type': chosen.mediaType },
  });
}

/** From a site to its document and plan, and back. */
function planLinks(root: string, { collection, siteId }: KeptFeature): Link[] {
  const site = `${root}/collections/sites/items/${siteId}`;
  const plan = `${root}/collections/plans/items/${siteId}`;
  const json = 'application/geo+json';
  if (collection === 'sites') {
    return [
      { rel: 'related', href: plan, type: json, title: 'its plan, as a feature' },
      { rel: 'enclosure', href: `${root}/sites/${siteId}`, type: json, title: 'the whole site as one document' },
    ];
  }
  if (collection !== 'plans') return [{ rel: 'related', href: site, type: json, title: 'its site' }];
  return [
    { rel: 'related', href: site, type: json, title: 'its site' },
    { rel: 'enclosure', href: `${root}/sites/${siteId}/plan`, type: json, title: 'the whole plan as one document' },
  ];
}
