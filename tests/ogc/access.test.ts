/* Long because one walk holds every route against every kind of key. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { apiDocument } from '#api/ogc/api-document.ts';
import type { Scope } from '#api/store/tenants.ts';
import { execute, startJob } from '../support/execute.ts';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';

/** Every route of the API document, asked with every kind of key: who sees what. */
const service = useKeptService({ LOOPWRIGHT_AUTH: 'keys', LOOPWRIGHT_RATE_MAX: '1000' });
const OWNER_SITE = 'owners-garden';
const OTHER_SITE = 'others-garden';
const ABSENT_SITE = 'nobodys-garden';
/** Request ids differ from answer to answer. */
const withoutIds = (text: string) => text.replace(/"(requestId|instance)":"[^"]*"/g, '');
/** Words that only the owner may ever read. */
const SECRET_WORDS = [OWNER_SITE, 'Hidden hollow'];

let ownersJob = '';
const keys = new Map<string, string>();
const bearer = (who: string) => ({ authorization: `Bearer ${keys.get(who) ?? who}` });
const ask = (
  method: string,
  path: string,
  who: string | undefined,
  body?: unknown,
  more: Record<string, string> = {},
) => service().send(method, path, body, { ...(who !== undefined && bearer(who)), ...more });

beforeAll(async () => {
  const { store } = await service().house();
  const add = async (who: string, tenant: string, scopes: Scope[], expires: string | null = null) => {
    await store.tenants.ensure(tenant, tenant);
    const { key, secret } = await store.tenants.addKey(tenant, who, scopes, expires);
    keys.set(who, secret);
    return key;
  };
  const all: Scope[] = ['read', 'write', 'run', 'admin'];
  await add('owner', 'owner', all);
  await add('reader', 'owner', ['read']);
  await add('other', 'other', all);
  await add('expired', 'owner', all, '2020-01-01T00:00:00.000Z');
  const revoked = await add('revoked', 'owner', all);
  await store.tenants.revokeKey('owner', revoked.id);
  keys.set('unknown', 'lwk_nobody');
  for (const [who, id, name] of [
    ['owner', OWNER_SITE, 'Hidden hollow'],
    ['other', OTHER_SITE, 'Elsewhere'],
  ] as const) {
    const made = await ask('POST', '/ogc/collections/sites/items', who, { ...garden(), id, name });
    if (made.status !== 201) throw new Error(await made.text());
  }
  await service().settled();
  ownersJob = await startJob(service(), 'plan-site', { inputs: { site: OWNER_SITE } }, bearer('owner'));
  await service().settled();
  await ask('PUT', '/ogc/rule-sets/ours', 'owner', { base: 'default' }, { 'content-type': 'application/json' });
  await ask('PUT', '/ogc/price-books/ours', 'owner', { currency: 'CHF' }, { 'content-type': 'application/json' });
  await ask(
    'PUT',
    '/ogc/firm-profiles/ours',
    'owner',
    { name: 'Hidden hollow' },
    { 'content-type': 'application/json' },
  );
  await service().request('/ogc/grids/ours', {
    method: 'PUT',
    headers: { ...bearer('owner'), 'content-type': 'image/tiff' },
    body: readFileSync(new URL('../../fixtures/elevation/plane-plain.tif', import.meta.url)),
  });
});

/** Names in paths -> those of the owner's things. */
const FILLED: Readonly<Record<string, string>> = {
  collectionId: 'zone',
  siteId: OWNER_SITE,
  bookId: 'ours',
  tileMatrixSetId: 'WebMercatorQuad',
  tileMatrix: '0',
  tileRow: '0',
  tileCol: '0',
  z: '0',
  x: '0',
  y: '0',
  styleId: 'all',
  keyId: 'some-key',
  shareId: 'some-share',
  processId: 'plan-site',
  jobId: 'some-job',
  row: '0',
};
/** Routes that are beside the OGC side: open to all, nothing is kept there. */
const PLAIN = new Set(['/plan', '/fault', '/rules', '/health', '/ready']);

function featureIdFor(template: string): string {
  const collection = template.split('/')[2];
  if (collection === 'sites' || collection === 'plans') return OWNER_SITE;
  if (collection === 'site-points') return `${OWNER_SITE}.2`;
  return collection.startsWith('site-') ? `${OWNER_SITE}.0` : `${OWNER_SITE}.${collection}-1`;
}

type Route = { readonly method: string; readonly path: string };
const ROUTES: readonly Route[] = (() => {
  const { paths } = JSON.parse(JSON.stringify(apiDocument(`${BASE}/ogc`, 'test', true))) as {
    paths: Record<string, object>;
  };
  return Object.entries(paths)
    .filter(([template]) => !PLAIN.has(template))
    .flatMap(([template, item]) => {
      const path = template.replace(/\{(\w+)\}/g, (_, name: string) => {
        const value = name === 'featureId' ? featureIdFor(template) : FILLED[name];
        if (value === undefined) throw new Error(`say in this test what {${name}} of ${template} is`);
        return value;
      });
      return Object.keys(item).map((method) => ({
        method: method.toUpperCase(),
        path: `/ogc${path === '/' ? '' : path}`,
      }));
    });
})();

const isWrite = ({ method }: Route) => method !== 'GET';

describe('every route', () => {
  it.each(['none', 'unknown', 'expired', 'revoked'])(
    'answers 401 and nothing else without a valid key (%s)',
    async (who) => {
      const texts = new Set<string>();
      for (const { method, path } of ROUTES) {
        const answer = await ask(
          method,
          path,
          who === 'none' ? undefined : who,
          isWrite({ method, path }) ? {} : undefined,
        );
        expect([method, path, answer.status]).toEqual([method, path, 401]);
        expect(answer.headers.get('www-authenticate')).toContain('Bearer');
        texts.add((await answer.json()).detail);
      }
      expect(texts.size).toBe(1);
    },
  );

  it('shows a stranger nothing of the owner: no content, no count, no id, not in any text', async () => {
    for (const route of ROUTES) {
      const { method, path } = route;
      if (path.includes('/audit')) continue;
      const answer = await ask(
        method,
        path,
        'other',
        isWrite(route) ? {} : undefined,
        isWrite(route) ? { 'if-match': '"x"' } : {},
      );
      const text = await answer.text();
      if (path.includes(OWNER_SITE)) {
        // What is another firm's is answered like what never was, to the letter.
        const absent = await ask(
          method,
          path.replaceAll(OWNER_SITE, ABSENT_SITE),
          'other',
          isWrite(route) ? {} : undefined,
          isWrite(route) ? { 'if-match': '"x"' } : {},
        );
        const same = withoutIds(text).replaceAll(OWNER_SITE, ABSENT_SITE);
        expect([method, path, answer.status, same]).toEqual([
          method,
          path,
          absent.status,
          withoutIds(await absent.text()),
        ]);
        expect(answer.status, `${method} ${path}`).toBeGreaterThanOrEqual(400);
      } else for (const word of SECRET_WORDS) expect(text, `${method} ${path}`).not.toContain(word);
    }
    const { numberMatched } = await (await ask('GET', '/ogc/collections/sites/items', 'other')).json();
    expect(numberMatched).toBe(1);
    expect(
      (
        await service()
          .house()
          .then(({ store }) => store.sites.one('owner', OWNER_SITE))
      )?.version,
    ).toBe(1);
  });

  it('lets a reader read and never write', async () => {
    for (const route of ROUTES) {
      const { method, path } = route;
      const answer = await ask(method, path, 'reader', isWrite(route) ? {} : undefined);
      if (isWrite(route)) expect([method, path, answer.status]).toEqual([method, path, 403]);
      else expect([200, 204, 403, 404], `${method} ${path}`).toContain(answer.status);
    }
    for (const path of ['/ogc/keys', '/ogc/audit']) expect((await ask('GET', path, 'reader')).status).toBe(403);
    const options = (who: string) =>
      service().request('/ogc/collections/site-areas/items', { method: 'OPTIONS', headers: bearer(who) });
    expect((await options('reader')).headers.get('allow')).toBe('GET, HEAD, OPTIONS');
    expect((await options('owner')).headers.get('allow')).toBe('GET, HEAD, POST, OPTIONS');
  });

  it('serves the owner', async () => {
    for (const { method, path } of ROUTES.filter((route) => !isWrite(route))) {
      const answer = await ask(method, path, 'owner');
      const isThere =
        !/some-|steep-1|weak-signal-1|bay-1|passage-1|splice-1|findings-1|site-lines|station-candidate-1$|finding/.test(
          path,
        );
      if (isThere && !path.includes('/items/')) expect([200, 204], `${method} ${path}`).toContain(answer.status);
    }
  });

  it('keeps tiles, caches and addresses apart', async () => {
    const tile = async (who: string) => {
      const answer = await ask('GET', '/ogc/tiles/WebMercatorQuad/0/0/0', who);
      expect(answer.headers.get('cache-control')).toContain('private');
      return Buffer.from(await answer.arrayBuffer()).toString('latin1');
    };
    expect(await tile('owner')).toContain(OWNER_SITE);
    expect(await tile('other')).not.toContain(OWNER_SITE);
    expect(await tile('owner')).toContain(OWNER_SITE);
  });
});

describe('jobs', () => {
  it('are seen, read and dismissed by their own firm only, and are to strangers as if they never were', async () => {
    expect((await (await ask('GET', '/ogc/jobs', 'other')).json()).jobs).toEqual([]);
    for (const [method, rest] of [
      ['GET', ''],
      ['GET', '/results'],
      ['DELETE', ''],
    ] as const) {
      const answer = await ask(method, `/ogc/jobs/${ownersJob}${rest}`, 'other');
      const absent = await ask(method, `/ogc/jobs/never${rest}`, 'other');
      expect([method, rest, answer.status]).toEqual([method, rest, 404]);
      expect(withoutIds(await answer.text()).replaceAll(ownersJob, 'never')).toBe(withoutIds(await absent.text()));
    }
    expect((await ask('GET', `/ogc/jobs/${ownersJob}/results`, 'owner')).status).toBe(200);
  });

  it('are read with the scope read, run and dismissed with the scope run', async () => {
    const { jobs } = await (await ask('GET', '/ogc/jobs', 'reader')).json();
    expect(jobs.map(({ jobID }: { jobID: string }) => jobID)).toEqual([ownersJob]);
    expect((await ask('GET', `/ogc/jobs/${ownersJob}/results`, 'reader')).status).toBe(200);
    expect((await ask('DELETE', `/ogc/jobs/${ownersJob}`, 'reader')).status).toBe(403);
    const inputs = { site: OWNER_SITE };
    expect((await execute(service(), 'plan-site', { inputs }, bearer('reader'))).status).toBe(403);
    expect((await execute(service(), 'plan-site', { inputs }, bearer('owner'))).status).toBe(200);
  });

  it('never plan the site of another firm', async () => {
    const refusal = async (site: string) => {
      const answer = await execute(service(), 'plan-site', { inputs: { site } }, bearer('other'));
      expect(answer.status).toBe(400);
      return withoutIds(await answer.text()).replaceAll(site, 'SITE');
    };
    expect(await refusal(OWNER_SITE)).toBe(await refusal(ABSENT_SITE));
  });
});

describe('shares', () => {
  it('show one site and its plan to whoever has the link, read-only, until revoked', async () => {
    await ask('POST', '/ogc/collections/sites/items', 'owner', { ...garden(), id: 'second', name: 'Second' });
    await service().settled();
    const made = await ask(
      'POST',
      `/ogc/sites/${OWNER_SITE}/shares`,
      'owner',
      { expires: '2999-01-01T00:00:00Z' },
      { 'content-type': 'application/json' },
    );
    expect(made.status).toBe(201);
    const { id, secret, url } = await made.json();
    expect(secret.length).toBeGreaterThan(40);
    const get = (path: string) => service().request(`${path}${path.includes('?') ? '&' : '?'}share=${secret}`);
    expect((await service().request(url)).status).toBe(200);
    expect((await (await get('/ogc/collections/plans/items')).json()).numberMatched).toBe(1);
    expect((await (await get('/ogc/collections/plans/items?site=second')).json()).numberMatched).toBe(0);
    expect((await get(`/ogc/sites/${OWNER_SITE}/plan`)).status).toBe(200);
    for (const path of ['/ogc/sites/second', '/ogc/sites/second/plan', '/ogc/collections/sites/items/second']) {
      expect([path, (await get(path)).status]).toEqual([path, 404]);
    }
    for (const path of [
      '/ogc/rule-sets',
      '/ogc/rule-sets/ours',
      '/ogc/keys',
      '/ogc/audit',
      '/ogc/jobs',
      `/ogc/jobs/${ownersJob}`,
      `/ogc/jobs/${ownersJob}/results`,
      `/ogc/sites/${OWNER_SITE}/shares`,
    ]) {
      expect([path, (await get(path)).status]).toEqual([path, 403]);
    }
    const tile = Buffer.from(await (await get('/ogc/tiles/WebMercatorQuad/0/0/0')).arrayBuffer()).toString('latin1');
    expect(tile).not.toContain('second');
    expect((await ask('POST', `/ogc/collections/site-areas/items?share=${secret}`, undefined, {})).status).toBe(403);
    const stored = JSON.stringify(service().events);
    expect(stored).not.toContain(secret);
    expect((await ask('DELETE', `/ogc/sites/${OWNER_SITE}/shares/${id}`, 'owner')).status).toBe(204);
    expect((await get(`/ogc/sites/${OWNER_SITE}/plan`)).status).toBe(401);
  });
});

describe('keys', () => {
  const JSON_TYPE = { 'content-type': 'application/json' };
  it('are made, listed without secrets and revoked by whoever may, for their own firm', async () => {
    const made = await ask(
      'POST',
      '/ogc/keys',
      'owner',
      { label: 'tablet', scopes: ['read'], expires: null },
      JSON_TYPE,
    );
    expect(made.status).toBe(201);
    const { id, secret } = await made.json();
    keys.set('tablet', secret);
    expect((await ask('GET', '/ogc/collections', 'tablet')).status).toBe(200);
    const list = await (await ask('GET', '/ogc/keys', 'owner')).text();
    expect(list).toContain('tablet');
    expect(list).not.toContain(secret);
    expect((await ask('DELETE', `/ogc/keys/${id}`, 'other')).status).toBe(404);
    expect((await ask('DELETE', `/ogc/keys/${id}`, 'owner')).status).toBe(204);
    expect((await ask('GET', '/ogc/collections', 'tablet')).status).toBe(401);
    expect((await ask('POST', '/ogc/keys', 'owner', { label: '', scopes: ['fly'] }, JSON_TYPE)).status).toBe(422);
  });

  it('are taken as X-API-Key too', async () => {
    expect(
      (await service().request('/ogc/collections', { headers: { 'x-api-key': keys.get('owner') ?? '' } })).status,
    ).toBe(200);
  });

  it('leave a trace of every write, and none of their secret', async () => {
    const { deeds } = await (await ask('GET', '/ogc/audit', 'owner')).json();
    expect(
      deeds.some(
        ({ method, path, status }: { method: string; path: string; status: number }) =>
          method === 'POST' && path === '/ogc/collections/sites/items' && status === 201,
      ),
    ).toBe(true);
    const text = JSON.stringify(deeds) + JSON.stringify(service().events);
    for (const secret of keys.values()) expect(text).not.toContain(secret);
    expect(JSON.stringify(deeds)).not.toContain('"actor":"key undefined"');
  });

  it('planning without keeping needs none', async () => {
    expect((await service().send('POST', '/plan', garden())).status).toBe(200);
  });
});

describe('limits', () => {
  const limited = useKeptService({ LOOPWRIGHT_AUTH: 'keys', LOOPWRIGHT_RATE_MAX: '3', LOOPWRIGHT_SITES_MAX: '1' });
  it('tell how many requests are left, then 429 and when to come again; other keys are not touched', async () => {
    const { store } = await limited().house();
    const secretOf = async (tenant: string) => {
      await store.tenants.ensure(tenant, tenant);
      return (await store.tenants.addKey(tenant, 'x', ['read', 'write'], null)).secret;
    };
    const [first, second] = [await secretOf('first'), await secretOf('second')];
    const get = (secret: string) => limited().request('/ogc/collections/zone', { headers: { 'x-api-key': secret } });
    const answers = [await get(first), await get(first), await get(first), await get(first)];
    expect(answers.map(({ status }) => status)).toEqual([200, 200, 200, 429]);
    expect(answers[0].headers.get('ratelimit')).toMatch(/^"minute";r=2;t=\d+$/);
    expect(answers[0].headers.get('ratelimit-policy')).toBe('"minute";q=3;w=60');
    expect(Number(answers[3].headers.get('retry-after'))).toBeGreaterThan(0);
    expect((await get(second)).status).toBe(200);
    const post = () => limited().send('POST', '/ogc/collections/sites/items', garden(), { 'x-api-key': second });
    expect([(await post()).status, (await post()).status]).toEqual([201, 403]);
  });
});
