import { describe, expect, it } from 'vitest';
import { planSchema } from '#api/contract/plan-schema.ts';
import { execute, startJob } from '../../support/execute.ts';
import { garden } from '../../support/garden.ts';
import { useKeptService } from '../../support/kept-service.ts';
import { manySites } from '../../support/many-sites.ts';
import { hasGdal, readByGdal } from '../../support/read-by-gdal.ts';

const service = useKeptService({ LOOPWRIGHT_SITES_MAX: '60' });

const wrong = { type: 'FeatureCollection', features: [7] };
const empty = { type: 'FeatureCollection', features: [] };
const parcels = (count: number) => manySites(count).map((site) => JSON.parse(site));
const get = async (path: string) => {
  const answer = await service().request(path);
  return { status: answer.status, text: await answer.text(), type: answer.headers.get('content-type') };
};
/** Parsed JSON of what must be there. */
const json = async (path: string) => {
  const { status, text } = await get(path);
  expect([path, status]).toEqual([path, 200]);
  return JSON.parse(text);
};
async function finished(inputs: object): Promise<string> {
  const id = await startJob(service(), 'plan-portfolio', { inputs });
  await service().settled();
  expect(await json(`/ogc/jobs/${id}`)).toMatchObject({ status: 'successful', progress: 100 });
  return id;
}

describe('plan-portfolio', () => {
  it('is run as a job, whether or not that is asked for', async () => {
    const answer = await execute(service(), 'plan-portfolio', { inputs: { sites: [garden()] } });
    expect([answer.status, answer.headers.get('location')]).toEqual([201, expect.stringContaining('/ogc/jobs/')]);
    await service().settled();
    const { jobControlOptions } = await json('/ogc/processes/plan-portfolio');
    expect(jobControlOptions).toEqual(['async-execute', 'dismiss']);
  });

  it('gives every site its row and its plan, and says why others have none', async () => {
    const id = await finished({ sites: [...parcels(45), wrong, empty] });
    const { features, links } = await json(`/ogc/jobs/${id}/sites?limit=40`);
    expect(features).toHaveLength(40);
    const next = links.find(({ rel }: { rel: string }) => rel === 'next');
    const rest = (await json(next.href)).features;
    const rows: { properties: Record<string, unknown> }[] = [...features, ...rest];
    expect(rows.map(({ properties }) => properties.number)).toEqual(Array.from({ length: 47 }, (_, i) => i));
    expect(rows[45].properties).toMatchObject({ state: 'refused', reason: expect.stringContaining('/features/0') });
    expect(rows[46].properties).toMatchObject({ state: 'planned', stops: expect.stringMatching(/^[a-z-]+\.[a-z-]+/) });
    const plan = planSchema.parse(await json(`/ogc/jobs/${id}/sites/3`));
    expect(plan.id).toBe('parcel-3');
    expect(rows[3].properties).toMatchObject({
      site: 'parcel-3',
      machine: 'fits',
      machinesAtLeast: 1,
      priceBook: null,
    });
    expect(rows[3].properties.routeLengthM).toBe(plan.summary.routeLengthM);
    expect((await get(`/ogc/jobs/${id}/sites/45`)).status).toBe(422);
    for (const none of ['47', '3.1', 'x']) expect((await get(`/ogc/jobs/${id}/sites/${none}`)).status).toBe(404);
  });

  it('plans a site as POST /plan does', async () => {
    const [site] = parcels(1);
    const id = await finished({ sites: [site] });
    const alone = await service().send('POST', '/plan', site);
    expect(await json(`/ogc/jobs/${id}/sites/0`)).toEqual(await alone.json());
  });

  it('plans every site by each rule set, and tells how many fit', async () => {
    const ours = { base: 'default', name: 'long spools', spoolM: 500 };
    const id = await finished({ sites: parcels(3), rules: ['small-lawn', ours] });
    const rows = (await json(`/ogc/jobs/${id}/sites`)).features;
    expect(rows.map((row: { id: string }) => row.id)).toEqual(['0', '0.1', '1', '1.1', '2', '2.1']);
    const summary = await json(`/ogc/jobs/${id}/results`);
    expect(summary).toEqual(
      JSON.parse((await get(`/ogc/jobs/${id}/summary?f=json`)).text, (key, value) =>
        key === 'links' ? undefined : value,
      ),
    );
    expect(summary).toMatchObject({
      plans: 6,
      done: 6,
      options: [{ rules: 'small-lawn', planned: 3 }, { rules: 'long spools' }],
    });
    for (const { planned, machines } of summary.options) {
      expect(machines.fits + machines['fits-shared'] + machines['does-not-fit']).toBe(planned);
    }
  });

  it('adds up what the rows say', async () => {
    const id = await finished({ sites: parcels(5) });
    const rows = (await json(`/ogc/jobs/${id}/sites`)).features as unknown as {
      properties: Record<string, number>;
    }[];
    const wires = rows.map(({ properties }) => properties.routeLengthM).toSorted((a, b) => a - b);
    const [option] = (await json(`/ogc/jobs/${id}/summary`)).options;
    expect(option.totals.routeLengthM).toBeCloseTo(
      wires.reduce((sum, wire) => sum + wire, 0),
      2,
    );
    expect(option.spreads.routeLengthM).toMatchObject({ least: wires[0], median: wires[2], most: wires[4] });
    expect(option.price[0].total).toBeCloseTo(
      rows.reduce((sum, { properties }) => sum + properties.priceTotal, 0),
      2,
    );
    expect(option.totals).not.toHaveProperty('maxSlopePct');
  });

  it('takes kept sites by id, by filter, or all of them, and leaves them as they are', async () => {
    for (const [i, site] of parcels(3).entries())
      await service().addSite({ ...site, id: `kept-${i}`, name: i === 1 ? 'Mill lane' : 'High street' });
    const sites = async (inputs: object) =>
      (
        (await json(`/ogc/jobs/${await finished(inputs)}/sites`)).features as unknown as {
          properties: { site: string };
        }[]
      ).map(({ properties }) => properties.site);
    expect(await sites({ sites: ['kept-2', 'nobody'] })).toEqual(['kept-2', 'nobody']);
    expect(await sites({ filter: "name = 'High street'" })).toEqual(['kept-0', 'kept-2']);
    expect(await sites({})).toEqual(['kept-0', 'kept-1', 'kept-2']);
    expect(await json('/ogc/collections/sites/items/kept-1')).toMatchObject({ properties: { version: 1 } });
    const refused = await execute(service(), 'plan-portfolio', { inputs: { filter: 'name = ' } });
    expect([refused.status, (await refused.json()).errors[0].pointer]).toEqual([400, '/inputs/filter']);
  });

  it('is written as CSV, a sequence and FlatGeobuf, a row a site', async () => {
    const id = await finished({ sites: [...parcels(2), wrong] });
    const csv = await get(`/ogc/jobs/${id}/sites?f=csv`);
    const [head, ...lines] = csv.text.trimEnd().split('\r\n');
    expect(head).toMatch(
      /^id,number,site,name,rules,state,reason,.*routeLengthM,.*priceTotal,currency,priceBook,inputHash,lon,lat$/,
    );
    expect(lines).toHaveLength(3);
    expect(lines[2]).toMatch(/refused,"invalid-site: /);
    const sequence = (await get(`/ogc/jobs/${id}/sites?f=jsonseq`)).text.split('\u001e').slice(1);
    expect(sequence.map((text) => JSON.parse(text).id)).toEqual(['0', '1', '2']);
    const layer = await service().request(`/ogc/jobs/${id}/sites?f=flatgeobuf`);
    const bytes = new Uint8Array(await layer.arrayBuffer());
    expect(new TextDecoder().decode(bytes.subarray(0, 3))).toBe('fgb');
    if (hasGdal) {
      const points = readByGdal(bytes, 'fgb', 'L1');
      expect(points.map(({ properties, geometry }) => [properties.number, geometry.type])).toEqual([
        [0, 'Point'],
        [1, 'Point'],
      ]);
    }
    expect((await get(`/ogc/jobs/${id}/sites?f=html`)).text).toContain('<table');
  });

  it('takes its sites one after the other, however many', async () => {
    const post = (body: string) =>
      service().send('POST', '/ogc/processes/plan-portfolio/execution?rules=small-lawn', body, {
        'content-type': 'application/x-ndjson',
      });
    const answer = await post([...manySites(50), 'no JSON'].join('\n'));
    expect(answer.status).toBe(201);
    const { jobID } = await answer.json();
    await service().settled();
    const summary = await json(`/ogc/jobs/${jobID}/results`);
    expect(summary).toMatchObject({ plans: 51, done: 51, options: [{ rules: 'small-lawn', planned: 50, refused: 1 }] });
    const jobs = (await json('/ogc/jobs')).jobs;
    expect((await post(manySites(61).join('\n'))).status).toBe(403);
    expect((await json('/ogc/jobs')).jobs).toHaveLength(jobs.length);
  });

  it('can be read while it runs, and stops when it is dismissed', async () => {
    const id = await startJob(service(), 'plan-portfolio', { inputs: { sites: parcels(58) } });
    const path = `/ogc/jobs/${id}/sites`;
    for (let status = 0; status !== 200; ) status = (await get(path)).status;
    const before = await json(`/ogc/jobs/${id}`);
    expect(before).toMatchObject({ status: 'running' });
    const dismissed = await service().send('DELETE', `/ogc/jobs/${id}`);
    expect(await dismissed.json()).toMatchObject({ status: 'dismissed' });
    await service().settled();
    const done = (await json(`${path}?limit=1000`)).features.length;
    expect(done).toBeLessThan(58);
    await new Promise((resolve) => setTimeout(resolve, 500));
    expect((await json(path)).features).toHaveLength(done);
    await service().send('DELETE', `/ogc/jobs/${id}`);
    const { database } = (await service().house()).store;
    for (const table of ['portfolio', 'portfolio_site', 'portfolio_row']) {
      expect(await database.read(`select job_id from ${table} where job_id = ?`, [id])).toEqual([]);
    }
  });
});
