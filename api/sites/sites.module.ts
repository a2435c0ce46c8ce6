import type { Module } from '#api/app.ts';
import { isMatch } from '#api/items/etags.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { HttpProblem } from '#api/problems.ts';
import type { SiteRecord } from '#api/store/sites.ts';
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
      const { house, access, query } = exchange;
      const record = await visibleSite(exchange, c.req.param('siteId'));
      const wanted = query.get('version');
      if (wanted !== undefined && !/^[1-9]\d{0,8}$/.test(wanted)) {
        throw new HttpProblem({
          code: 'invalid-parameter',
          detail: `version="${wanted.slice(0, 40)}" is no whole number`,
        });
      }
      const version = wanted === undefined ? record.planVersion : Number(wanted);
      const plan = version === null ? undefined : await house.store.plans.body(access.tenant, record.id, version);
      if (plan !== undefined) return new Response(JSON.stringify(plan), { headers: GEOJSON });
      const why =
        wanted === undefined ? (record.problem ?? 'it is still to be planned') : `there is no version ${wanted}`;
      throw new HttpProblem({ code: 'not-found', detail: `no plan of "${record.id}": ${why}` });
    });
  },
};

async function visibleSite({ house, access }: Pick<Exchange, 'house' | 'access'>, siteId: string): Promise<SiteRecord> {
  const isHidden = access.siteId !== undefined && access.siteId !== siteId;
  const record = isHidden ? undefined : await house.store.sites.one(access.tenant, siteId);
  if (record !== undefined) return record;
  throw noSite(siteId);
}

function noSite(siteId: string): HttpProblem {
  return new HttpProblem({ code: 'not-found', detail: `there is no site "${siteId.slice(0, 80)}"` });
}
