import type { Module } from '#api/app.ts';
import { schemaFaults } from '#api/contract/schema-faults.ts';
import { z } from '#api/contract/zod.ts';
import { type Exchange, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { HttpProblem } from '#api/problems.ts';
import { readJsonBody } from '#api/sites/read-feature-body.ts';
import { type AccessKey, SCOPES, type Share } from '#api/store/tenants.ts';

const JSON_TYPES = ['application/json'];
const DEEDS_MAX = 1_000;

const expires = z.iso.datetime({ error: 'an instant of RFC 3339 in UTC is wanted' }).nullable().default(null);
const newKey = z.strictObject({
  label: z.string().min(1).max(100),
  scopes: z.array(z.enum(SCOPES)).min(1).max(SCOPES.length),
  expires,
});
const newShare = z.strictObject({ expires });

const SITE_SHARES = `${ROOT_PATH}/sites/:siteId/shares` as const;

/** Keys, shares and the audit log of a firm. */
export const accessModule: Module = {
  name: 'access',
  mount(app, deps) {
    const body = async <Body>(request: Request, schema: z.ZodType<Body>): Promise<Body> => {
      const { json } = await readJsonBody(request, deps.limits, JSON_TYPES);
      const read = schema.safeParse(json);
      if (read.success) return read.data;
      throw new HttpProblem({
        code: 'invalid-feature',
        detail: 'this cannot be kept',
        errors: schemaFaults(read.error),
      });
    };
    app.get(`${ROOT_PATH}/keys`, async (c) => {
      const { house, access } = await openExchange(c, deps, 'admin');
      return c.json({ keys: (await house.store.tenants.keys(access.tenant)).map(shownKey) });
    });
    app.post(`${ROOT_PATH}/keys`, async (c) => {
      const { house, access } = await openExchange(c, deps, 'admin');
      const wanted = await body(c.req.raw, newKey);
      const { key, secret } = await house.store.tenants.addKey(
        access.tenant,
        wanted.label,
        wanted.scopes,
        utc(wanted.expires),
      );
      return c.json({ ...shownKey(key), secret }, 201, { 'cache-control': 'no-store' });
    });
    app.delete(`${ROOT_PATH}/keys/:keyId`, async (c) => {
      const { house, access } = await openExchange(c, deps, 'admin');
      if (await house.store.tenants.revokeKey(access.tenant, c.req.param('keyId')))
        return new Response(null, { status: 204 });
      throw missing('key');
    });
    app.get(`${ROOT_PATH}/audit`, async (c) => {
      const { house, access } = await openExchange(c, deps, 'admin');
      return c.json({ deeds: await house.store.tenants.deeds(access.tenant, DEEDS_MAX) });
    });
    app.get(SITE_SHARES, async (c) => {
      const exchange = await openExchange(c, deps, 'write');
      const siteId = await ownSite(exchange, c.req.param('siteId'));
      const { house, access } = exchange;
      return c.json({ shares: (await house.store.tenants.shares(access.tenant, siteId)).map(shownShare) });
    });
    app.post(SITE_SHARES, async (c) => {
      const exchange = await openExchange(c, deps, 'write');
      const siteId = await ownSite(exchange, c.req.param('siteId'));
      const { house, access, root } = exchange;
      const wanted = await body(c.req.raw, newShare);
      const { share, secret } = await house.store.tenants.addShare(access.tenant, siteId, utc(wanted.expires));
      const url = `${root}/collections/plans/items/${siteId}?f=html&share=${secret}`;
      return c.json({ ...shownShare(share), secret, url }, 201, { 'cache-control': 'no-store' });
    });
    app.delete(`${SITE_SHARES}/:shareId`, async (c) => {
      const { house, access } = await openExchange(c, deps, 'write');
      if (await house.store.tenants.revokeShare(access.tenant, c.req.param('shareId')))
        return new Response(null, { status: 204 });
      throw missing('share');
    });
  },
};

/** Times are kept with milliseconds, so that text compares like time. */
function utc(text: string | null): string | null {
  return text === null ? null : new Date(text).toISOString();
}

function shownKey({ id, label, scopes, created, expires: until, revoked }: AccessKey) {
  return { id, label, scopes, created, expires: until, revoked };
}

function shownShare({ id, siteId, created, expires: until, revoked }: Share) {
  return { id, site: siteId, created, expires: until, revoked };
}

async function ownSite({ house, access }: Exchange, siteId: string): Promise<string> {
  if ((await house.store.sites.one(access.tenant, siteId)) !== undefined) return siteId;
  throw new HttpProblem({ code: 'not-found', detail: `there is no site "${siteId.slice(0, 80)}"` });
}

function missing(what: string): HttpProblem {
  return new HttpProblem({ code: 'not-found', detail: `there is no such ${what}, or it is revoked already` });
}
