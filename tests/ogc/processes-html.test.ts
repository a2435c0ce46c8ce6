import { beforeAll, describe, expect, it } from 'vitest';
import { execute, startJob } from '../support/execute.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class html. */
const service = useKeptService({ LOOPWRIGHT_ECHO: 'on' });
let jobId = '';
beforeAll(async () => {
  jobId = await startJob(service(), 'echo', { inputs: { stringInput: '<script>alert(1)</script>' } });
  await service().settled();
});
const accept = 'text/html,application/xhtml+xml,*/*;q=0.8';

describe('pages', () => {
  it.each([
    ['/processes', 'Plan a site'],
    ['/processes/echo', 'seconds'],
    ['/jobs', 'successful'],
    ['/jobs/{jobId}', 'successful'],
    ['/jobs/{jobId}/results', '&#60;script&#62;'],
  ])('/req/html/definition, content: %s is a page for people, without scripts', async (path, word) => {
    const answer = await service().request(`/ogc${path.replace('{jobId}', jobId)}`, { headers: { accept } });
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/html; charset=utf-8']);
    const html = await answer.text();
    expect(html).toMatch(/^<!doctype html>/);
    expect(html).toContain(word);
    expect(html).not.toMatch(/<script|style="|\son\w+="/);
  });

  it('/req/html/definition: are what an execution gives to those who like pages better', async () => {
    const answer = await execute(service(), 'echo', { inputs: { stringInput: 'hay' } }, { accept });
    expect(answer.headers.get('content-type')).toBe('text/html; charset=utf-8');
    expect(await answer.text()).toContain('hay');
  });
});
