import { beforeAll, describe, expect, it } from 'vitest';
import { execute, startJob } from '../support/execute.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class json: the kept service holds every answer against the schemas of the API document. */
const service = useKeptService({ LOOPWRIGHT_ECHO: 'on' });
let jobId = '';
beforeAll(async () => {
  jobId = await startJob(service(), 'echo', { inputs: { stringInput: 'x' }, response: 'document' });
  await service().settled();
});

describe('JSON', () => {
  it.each(['/processes', '/processes/echo', '/jobs', '/jobs/{jobId}', '/jobs/{jobId}/results'])(
    '/req/json/definition: is what %s is written in, unless a page is liked better',
    async (path) => {
      for (const headers of [{}, { accept: 'application/json' }, { accept: '*/*' }]) {
        const answer = await service().request(`/ogc${path.replace('{jobId}', jobId)}`, { headers });
        expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'application/json']);
        expect(typeof (await answer.json())).toBe('object');
      }
    },
  );

  it('is what is read, and what exceptions come in for those who read nothing else (RFC 9457)', async () => {
    const wrong = await execute(service(), 'echo', { inputs: {} }, { accept: 'application/json' });
    expect([wrong.status, wrong.headers.get('content-type')]).toEqual([400, 'application/json']);
    const plain = await execute(service(), 'echo', { inputs: {} });
    expect(plain.headers.get('content-type')).toBe('application/problem+json');
    expect(await plain.json()).toMatchObject({ status: 400, type: '/problems/invalid-input' });
  });
});
