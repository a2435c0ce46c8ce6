import type { Module } from '#api/app.ts';
import { isMatch } from '#api/items/etags.ts';
import { openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { HttpProblem } from '#api/problems.ts';
import { keptPlan, visibleSite } from './kept-plan.ts';
import { settledSite, siteDocument } from './site-document.ts';

const SITE = `${ROOT_PATH}/sites/:siteId` as const;
const HEADERS = { vary: 'Accept, Authorization', 'cache-control': 'private, no-cache' };
const GEOJSON = { ...HEADERS, 'content-type': 'application/geo+json' };

/** Sites and their plans as whole documents, for those who want them in one piece. */
export const sitesModule: Module = {
  name: 'sites',
  mount(app, deps) {
    app.get(SITE, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const { id } = await visibleSite(exchange, c.req.param('siteId'));
      const site = await settledSite(exchange.house.store, exchange.access.tenant, id);
      if (site === undefined) throw noSite(id);
      const { record, features, digest } = site;
      // That of the site as a feature: whoever reads the document may write it back by it (If-Match).
      const etag = `"${digest}"`;
      if (isMatch(c.req.header('if-none-match'), digest))
        return new Response(null, { status: 304, headers: { ...HEADERS, etag } });
      return new Response(JSON.stringify(siteDocument(record, features)), { headers: { ...GEOJSON, etag } });
    });
    app.get(`${SITE}/plans`, async (c) => {
      const { house, access, ...exchange } = await openExchange(c, deps, 'read');
      const { id } = await visibleSite({ house, access, ...exchange }, c.req.param('siteId'));
      return c.json({ versions: await house.store.plans.versions(access.tenant, id) }, 200, HEADERS);
    });
    app.get(`${SITE}/plan`, async (c) => {
      const exchange = await openExchange(c, deps, 'read', ['version']);
      const record = await visibleSite(exchange, c.req.param('siteId'));
      return new Response(JSON.stringify(await keptPlan(exchange, record)), { headers: GEOJSON });
    });
  },
};

function noSite(siteId: string): HttpProblem {
  return new HttpProblem({ code: 'not-found', detail: `there is no site "${siteId.slice(0, 80)}"` });
}
