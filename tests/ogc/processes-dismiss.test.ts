import { describe, expect, it } from 'vitest';
import { startJob } from '../support/execute.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class dismiss. */
const service = useKeptService({ LOOPWRIGHT_ECHO: 'on' });
const dismiss = (id: string) => service().send('DELETE', `/ogc/jobs/${id}`);

describe('a job', () => {
  it('/req/dismiss/job-dismiss-op, job-dismiss-success: is stopped, and nothing comes of it', async () => {
    const id = await startJob(service(), 'echo', { inputs: { stringInput: 'x', pause: 10 } });
    const answer = await dismiss(id);
    expect([answer.status, await answer.json()]).toEqual([
      200,
      expect.objectContaining({ jobID: id, status: 'dismissed' }),
    ]);
    // The place of the worker is free again long before the pause would have ended.
    const other = await startJob(service(), 'echo', { inputs: { stringInput: 'y' } });
    const { runner } = await service().house();
    expect(await runner.ended('local', other, 5_000)).toBe(true);
    expect((await service().json(`/ogc/jobs/${id}`)).status).toBe('dismissed');
    expect((await service().request(`/ogc/jobs/${id}/results`)).status).toBe(404);
  });

  it('is forgotten with its results when it has ended', async () => {
    const id = await startJob(service(), 'echo', { inputs: { stringInput: 'x' } });
    await service().settled();
    expect((await service().request(`/ogc/jobs/${id}/results`)).status).toBe(200);
    const { status, links } = await (await dismiss(id)).json();
    expect(status).toBe('dismissed');
    for (const { href } of links) expect((await service().request(href)).status, href).toBe(200);
    for (const path of [`/ogc/jobs/${id}`, `/ogc/jobs/${id}/results`]) {
      expect((await service().request(path)).status).toBe(404);
    }
    expect((await dismiss(id)).status).toBe(404);
  });
});
