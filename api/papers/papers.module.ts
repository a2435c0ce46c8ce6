import type { Module } from '#api/app.ts';
import { chosenOffer, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { plannedOrProblem } from '#api/plan/planned-or-problem.ts';
import { keptPlan, visibleSite } from '#api/sites/kept-plan.ts';
import { givenFeatures, siteDocument, withBooks } from '#api/sites/site-document.ts';
import { SITE_PAPERS } from './site-papers.ts';

const OFFERS = [
  { id: 'pdf', mediaType: 'application/pdf' },
  { id: 'html', mediaType: 'text/html' },
] as const;

/** Papers of kept sites, written from the plan that is kept: an old version gives the old paper. */
export const papersModule: Module = {
  name: 'papers',
  mount(app, deps) {
    for (const { path, paper } of SITE_PAPERS) {
      app.get(`${ROOT_PATH}/sites/:siteId/${path}`, async (c) => {
        const exchange = await openExchange(c, deps, 'read', ['version']);
        const { house, access } = exchange;
        const record = await visibleSite(exchange, c.req.param('siteId'));
        const form = chosenOffer(exchange, OFFERS);
        const plan = await keptPlan(exchange, record);
        const features = await givenFeatures(house.store, access.tenant, record.id);
        const { document, grid } = await withBooks(house.store, access.tenant, siteDocument(record, features));
        const bytes = (json: unknown) => new TextEncoder().encode(JSON.stringify(json));
        const answer = await deps.planner.plan(
          {
            site: bytes(document),
            keptPlan: bytes(plan),
            ...(grid !== undefined && { elevation: { bytes: grid.bytes, fileName: grid.fileName } }),
            format: `${paper}-${form.id}`,
            limits: deps.limits,
          },
          c.req.raw.signal,
        );
        const { body, mediaType, headers } = plannedOrProblem(answer);
        return new Response(Uint8Array.from(body), {
          headers: {
            ...headers,
            'content-type': mediaType,
            'cache-control': 'private, no-cache',
            vary: 'Accept, Authorization',
          },
        });
      });
    }
  },
};
