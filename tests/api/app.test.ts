import { describe, expect, it } from 'vitest';
import { problemSchema } from '#api/contract/problem-schema.ts';
import { MODULES } from '#api/modules.ts';
import { PROBLEMS } from '#api/problems.ts';
import { NUMBER_FIELDS, OFFSET_KEYS, RULE_SETS } from '#geo-core/model/rules.ts';
import { useService } from '../support/test-app.ts';

const service = useService();
const get = (path: string, init?: RequestInit) => service().request(path, init);

async function problemOf(answer: Response) {
  expect(answer.headers.get('content-type')).toBe('application/problem+json');
  const details = problemSchema.parse(await answer.json());
  expect(details.status).toBe(answer.status);
  return details;
}

describe('the service', () => {
  it('says that it is well, and how busy', async () => {
    const answer = await get('/health');
    expect(answer.status).toBe(200);
    expect(await answer.json()).toMatchObject({
      status: 'ok',
      version: '0.0.0-test',
      uptimeS: expect.any(Number),
      workers: { workers: 1, busy: 0, waiting: 0, waitingMax: 16 },
      limits: { bodyBytesMax: 16 * 1024 * 1024, featuresMax: 5000 },
    });
  });

  it('lists the rule sets with unit, bounds and reason of every number', async () => {
    const { ruleSets, fields } = await (await get('/rules')).json();
    expect(ruleSets).toEqual(RULE_SETS);
    expect(fields.offsetsM.map(({ key }: { key: string }) => key)).toEqual(OFFSET_KEYS);
    expect(fields.numbers.map(({ name }: { name: string }) => name)).toEqual(Object.keys(NUMBER_FIELDS));
    for (const field of [...fields.offsetsM, ...fields.numbers]) {
      expect(field).toMatchObject({ unit: expect.any(String), min: expect.any(Number), max: expect.any(Number) });
      expect(field.reason).toMatch(/\w/);
    }
  });

  it.each(['site', 'plan', 'rules', 'problem', 'site.json'])('serves the schema %s', async (name) => {
    const answer = await get(`/schemas/${name}`);
    expect(answer.headers.get('content-type')).toBe('application/schema+json');
    expect(await answer.json()).toHaveProperty('$schema');
  });

  it.each(Object.entries(PROBLEMS))(
    'explains the problem %s where its type points to',
    async (code, { title, status }) => {
      expect(await (await get(`/problems/${code}`)).json()).toEqual({ type: `/problems/${code}`, title, status });
    },
  );

  it.each([
    '/nothing',
    '/plan/1',
    '/schemas/moon',
    '/schemas',
    '/problems/moon',
    '/../etc/passwd',
    '/%2e%2e/package.json',
    '//plan',
  ])('has nothing at %s', async (path) => {
    const answer = await get(path);
    expect(answer.status).toBe(404);
    expect((await problemOf(answer)).detail).toMatch(/\w/);
  });

  it.each([
    ['GET', '/plan', 'POST, OPTIONS'],
    ['DELETE', '/plan', 'POST, OPTIONS'],
    ['POST', '/rules', 'GET, HEAD, OPTIONS'],
    ['PUT', '/health', 'GET, HEAD, OPTIONS'],
    ['POST', '/schemas/site', 'GET, HEAD, OPTIONS'],
  ])('refuses %s %s and says what works', async (method, path, allow) => {
    const answer = await get(path, { method });
    expect(answer.status).toBe(405);
    expect(answer.headers.get('allow')).toBe(allow);
    expect((await problemOf(answer)).detail).toContain(allow);
  });

  it('answers OPTIONS with what works, and preflights of other origins', async () => {
    const plain = await get('/plan', { method: 'OPTIONS' });
    expect([plain.status, plain.headers.get('allow')]).toEqual([200, 'POST, OPTIONS']);
    const preflight = await get('/plan', { method: 'OPTIONS', headers: { 'access-control-request-method': 'POST' } });
    expect(preflight.headers.get('access-control-allow-methods')).toBe('POST, OPTIONS');
    expect(preflight.headers.get('access-control-allow-origin')).toBe('*');
    expect((await get('/nothing', { method: 'OPTIONS' })).status).toBe(404);
  });

  it('answers HEAD like GET, without a body', async () => {
    const answer = await get('/rules', { method: 'HEAD' });
    expect([answer.status, await answer.text()]).toEqual([200, '']);
  });

  it('puts security headers and a request id on every answer', async () => {
    for (const path of ['/health', '/nothing', '/plan']) {
      const { headers } = await get(path);
      expect(headers.get('x-content-type-options')).toBe('nosniff');
      expect(headers.get('referrer-policy')).toBe('no-referrer');
      expect(headers.get('content-security-policy')).toContain("default-src 'none'");
      expect(headers.get('x-request-id')).toBe('made-up-id');
    }
  });

  it('keeps a request id that was given, unless it is not one', async () => {
    const idOf = async (id: string) =>
      (await get('/health', { headers: { 'x-request-id': id } })).headers.get('x-request-id');
    expect(await idOf('trace-7.b')).toBe('trace-7.b');
    expect(await idOf('a b')).toBe('made-up-id');
    expect(await idOf('x'.repeat(65))).toBe('made-up-id');
  });

  it('logs every request in one event', async () => {
    await get('/nothing', { headers: { 'x-request-id': 'seen' } });
    const logged = service().events.filter(({ requestId }) => requestId === 'seen');
    expect(logged).toEqual([
      {
        event: 'request',
        requestId: 'seen',
        method: 'GET',
        route: '/*',
        path: '/nothing',
        status: 404,
        ms: expect.any(Number),
      },
    ]);
  });

  it('says how to get the client where it is not built', async () => {
    expect((await problemOf(await get('/'))).detail).toContain('npm start');
  });

  it('is made of modules with names of their own', () => {
    expect(new Set(MODULES.map(({ name }) => name)).size).toBe(MODULES.length);
  });
});
