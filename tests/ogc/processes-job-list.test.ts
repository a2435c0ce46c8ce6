import { beforeAll, describe, expect, it } from 'vitest';
import { startJob } from '../support/execute.ts';
import { garden } from '../support/garden.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class job-list. */
const service = useKeptService({ LOOPWRIGHT_ECHO: 'on' });
type Status = { jobID: string; processID: string; status: string; type: string; created: string };
const list = async (query = '') => {
  const { jobs, links }: { jobs: Status[]; links: { rel: string; href: string }[] } = await (
    await service().request(`/ogc/jobs${query}`)
  ).json();
  return { jobs, ids: jobs.map(({ jobID }) => jobID), next: links.find(({ rel }) => rel === 'next')?.href };
};
let [slow, quick, failing] = ['', '', ''];

beforeAll(async () => {
  // Jobs that plan a changed site again are the service's own: none of them may show.
  await service().addSite(garden());
  slow = await startJob(service(), 'echo', { inputs: { stringInput: 'slow', pause: 2 } });
  await service().settled();
  quick = await startJob(service(), 'echo', { inputs: { stringInput: 'quick' } });
  await service().settled();
  failing = await startJob(service(), 'plan-site', { inputs: { site: 'nowhere' } });
  await service().settled();
});

describe('the list of jobs', () => {
  it('/req/job-list/job-list-success, processid-mandatory: has all jobs of the firm, the latest first', async () => {
    const { jobs, ids } = await list();
    expect(ids).toEqual([failing, quick, slow]);
    expect(jobs.map(({ processID }) => processID)).toEqual(['plan-site', 'echo', 'echo']);
    expect(new Set(jobs.map(({ type }) => type))).toEqual(new Set(['process']));
  });

  it('/req/job-list/processid-response: by process', async () => {
    expect((await list('?processID=echo')).ids).toEqual([quick, slow]);
    expect((await list('?processID=echo,plan-site')).ids.length).toBe(3);
    expect((await list('?processID=replan-site')).ids).toEqual([]);
  });

  it('/req/job-list/status-response, type-response: by state and type', async () => {
    expect((await list('?status=failed')).ids).toEqual([failing]);
    expect((await list('?status=failed,successful&type=process')).ids.length).toBe(3);
    for (const query of ['?status=lost', '?type=wps'])
      expect((await service().request(`/ogc/jobs${query}`)).status).toBe(400);
  });

  it('/req/job-list/datetime-response: by when they were made', async () => {
    const { jobs } = await list();
    const [, { created }] = jobs;
    expect((await list(`?datetime=${created}/..`)).ids).toEqual([failing, quick]);
    expect((await list(`?datetime=../${created}`)).ids).toEqual([quick, slow]);
    expect((await list('?datetime=2001-01-01')).ids).toEqual([]);
    expect((await service().request('/ogc/jobs?datetime=yesterday')).status).toBe(400);
  });

  it('/req/job-list/duration-response: by how long they ran, in seconds', async () => {
    expect((await list('?minDuration=2')).ids).toEqual([slow]);
    expect((await list('?maxDuration=1')).ids).not.toContain(slow);
    expect((await service().request('/ogc/jobs?minDuration=-1')).status).toBe(400);
  });

  it('/req/job-list/jl-limit-response, links: in pages, each job once', async () => {
    const seen: string[] = [];
    for (let next: string | undefined = '?limit=1&processID=echo'; next !== undefined; ) {
      const page = await list(next.replace(/^.*\/jobs/, ''));
      expect(page.ids.length).toBe(1);
      seen.push(...page.ids);
      next = page.next;
    }
    expect(seen).toEqual([quick, slow]);
    expect((await list('?limit=99999')).ids.length).toBe(3);
    for (const query of ['?limit=0', '?after=x'])
      expect((await service().request(`/ogc/jobs${query}`)).status).toBe(400);
  });
});
