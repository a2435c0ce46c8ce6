import type { Module } from '#api/app.ts';
import { collectionLandingLinks } from '#api/collections/collections.module.ts';
import { processesLandingLinks } from '#api/processes/processes.module.ts';
import { tilesLandingLinks } from '#api/tiles/tiles.module.ts';
import { answerDocument, htmlResponse } from './answer.ts';
import { apiDocument } from './api-document.ts';
import { CONFORMANCE } from './conformance.ts';
import { chosenOffer, HTML_OFFER, openExchange, ROOT_PATH } from './exchange.ts';
import { type Link, REL } from './links.ts';
import { page, table } from './page.ts';

/** Exactly this string, without a space: clients find the API by it. */
const OPENAPI = 'application/vnd.oai.openapi+json;version=3.0';

/** Where a client begins: landing page, conformance, API document. */
export const ogcModule: Module = {
  name: 'ogc',
  mount(app, deps) {
    app.get(ROOT_PATH, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const title = 'Loopwright';
      const description =
        'Sites, and the boundary wire of robotic mowers planned for them, as features, tiles and jobs.';
      const links = landingLinks(exchange.root);
      const rows = links
        .filter(({ type }) => type === 'application/json')
        .map(({ href, title: text = '' }) => [{ href: href.replace('f=json', 'f=html'), text }]);
      return answerDocument(exchange, {
        title,
        description,
        links,
        json: { title, description },
        html: table([], rows),
      });
    });
    app.get(`${ROOT_PATH}/conformance`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      return answerDocument(exchange, {
        title: 'Conformance',
        json: { conformsTo: CONFORMANCE },
        html: table(
          [],
          CONFORMANCE.map((uri) => [{ href: uri, text: uri }]),
        ),
      });
    });
    app.get(`${ROOT_PATH}/api`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const document = apiDocument(exchange.root, deps.version, deps.settings.auth === 'keys');
      const chosen = chosenOffer(exchange, [
        { id: 'json', mediaType: OPENAPI, also: ['application/vnd.oai.openapi+json', 'application/json'] },
        HTML_OFFER,
      ]);
      if (chosen.id === 'html') return htmlResponse(referencePage(exchange.root, document));
      return new Response(JSON.stringify(document), {
        headers: { 'content-type': OPENAPI, vary: 'Accept, Authorization', 'cache-control': 'private, no-cache' },
      });
    });
  },
};

function landingLinks(root: string): Link[] {
  const json = 'application/json';
  const conformance = { href: `${root}/conformance?f=json`, type: json, title: 'standards that are followed' };
  return [
    { rel: 'service-desc', href: `${root}/api`, type: OPENAPI, title: 'the API as OpenAPI 3.0' },
    { rel: 'service-doc', href: `${root}/api?f=html`, type: 'text/html', title: 'the API for people' },
    { rel: 'conformance', ...conformance },
    { rel: `${REL}/conformance`, ...conformance },
    ...collectionLandingLinks(root),
    ...tilesLandingLinks(root),
    ...processesLandingLinks(root),
  ];
}

type Described = {
  readonly paths?: Readonly<
    Record<string, Readonly<Record<string, { readonly summary?: string; readonly tags?: readonly string[] }>>>
  >;
};

/** Every operation in one table. */
function referencePage(root: string, { paths = {} }: Described): string {
  const rows = Object.entries(paths).flatMap(([path, item]) =>
    Object.entries(item)
      .filter(([method]) => method !== 'servers')
      .map(([method, { summary = '', tags = [] }]) => [method.toUpperCase(), path, summary, tags.join(', ')]),
  );
  const links = [{ rel: 'alternate', href: `${root}/api`, type: OPENAPI, title: 'this as OpenAPI 3.0' }];
  return page({ title: 'The API', links, root, body: table(['method', 'path', 'what it does', 'part'], rows) });
}
