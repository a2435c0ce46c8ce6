import { beforeAll, describe, expect, it } from 'vitest';
import { execute, startJob } from '../support/execute.ts';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, OGC API - Processes - Part 1: Core, class core. Names of tests carry the requirement. */
const service = useKeptService({ LOOPWRIGHT_ECHO: 'on', LOOPWRIGHT_JOBS_MAX: '20' });
const get = (path: string) => service().request(`/ogc${path}`);
const json = async (path: string) => (await get(path)).json();
const EXCEPTION = 'http://www.opengis.net/def/exceptions/ogcapi-processes-1/1.0';
const REL = 'http://www.opengis.net/def/rel/ogc/1.0';
type Link = { rel: string; href: string };
const target = (links: readonly Link[], rel: string) => links.find((link) => link.rel === rel)?.href;

beforeAll(async () => {
  await service().addSite(garden());
});

describe('what there is', () => {
  it('/req/core/landingpage-success, conformance-success: is linked from the landing page and declared', async () => {
    const { links } = await json('');
    for (const name of ['conformance', 'processes', 'job-list']) {
      const href = target(links, `${REL}/${name}`) ?? '';
      expect((await service().request(href)).status, href).toBe(200);
    }
    const { conformsTo } = await json('/conformance');
    for (const name of ['core', 'ogc-process-description', 'json', 'html', 'oas30', 'job-list', 'dismiss']) {
      expect(conformsTo).toContain(`http://www.opengis.net/spec/ogcapi-processes-1/1.0/conf/${name}`);
    }
  });

  it('/req/core/pl-limit-response, pl-links: comes in pages', async () => {
    const first = await json('/processes?limit=1');
    expect(first.processes.map(({ id }: { id: string }) => id)).toEqual(['plan-site']);
    const next = await (await service().request(target(first.links, 'next') ?? '')).json();
    expect(next.processes.map(({ id }: { id: string }) => id)).toEqual(['compare-options']);
    expect((await get('/processes?limit=0')).status).toBe(400);
  });

  it('/req/core/process-exception/no-such-process: is told by the type of the standard', async () => {
    for (const answer of [await get('/processes/nothing'), await execute(service(), 'nothing', {})]) {
      expect(answer.status).toBe(404);
      expect((await answer.json()).type).toBe(`${EXCEPTION}/no-such-process`);
    }
  });
});

describe('running at once', () => {
  it('/req/core/process-execute-default-execution-mode, sync-raw-value-one: gives the plan that POST /plan gives', async () => {
    const plain = await service().send('POST', '/plan', garden());
    const answer = await execute(service(), 'plan-site', {
      inputs: { site: { value: garden(), mediaType: 'application/geo+json' } },
    });
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'application/geo+json']);
    expect(answer.headers.get('link')).toBeNull();
    expect(await answer.json()).toEqual(await plain.json());
  });

  it('takes a kept site by id or by its own address, with rules of the request', async () => {
    const rules = { base: 'default', pegSpacingM: 2 };
    const wanted = await (await service().send('POST', '/plan', { ...garden(), rules })).json();
    const plain = await (await service().send('POST', '/plan', garden())).json();
    expect(wanted.summary.pegCount).not.toBe(plain.summary.pegCount);
    for (const site of ['test-garden', { href: `${BASE}/ogc/sites/test-garden` }]) {
      const { summary } = await (await execute(service(), 'plan-site', { inputs: { site, rules } })).json();
      expect(summary).toEqual(wanted.summary);
    }
  });

  it('/req/core/process-execute-sync-document: gives every output under its id, objects with their media type', async () => {
    const answer = await execute(service(), 'plan-site', { inputs: { site: 'test-garden' }, response: 'document' });
    const { plan } = await answer.json();
    expect(plan.mediaType).toBe('application/geo+json');
    expect(plan.value.summary.routeLengthM).toBeGreaterThan(50);
    const echo = await execute(service(), 'echo', { inputs: { stringInput: 'a "b"' }, response: 'document' });
    expect(await echo.json()).toEqual({ stringInput: 'a "b"', pause: 0 });
  });

  it('/req/core/process-execute-sync-raw-value-multi: gives several outputs as parts, each under its id (RFC 2387)', async () => {
    const answer = await execute(service(), 'echo', { inputs: { stringInput: 'grüezi' } });
    const [, boundary, type] =
      /^multipart\/related; boundary=(.+); type="(.+)"$/.exec(answer.headers.get('content-type') ?? '') ?? [];
    expect(type).toBe('text/plain');
    const parts = (await answer.text()).split(`--${boundary}`);
    expect(parts[0]).toBe('');
    expect(parts.at(-1)).toBe('--\r\n');
    const read = parts.slice(1, -1).map((part) => {
      const [head, body] = part.split('\r\n\r\n');
      return [/content-id: <(.+)>/.exec(head)?.[1], /content-type: (.+)/.exec(head)?.[1].trim(), body.trim()];
    });
    expect(read).toEqual([
      ['stringInput', 'text/plain', 'grüezi'],
      ['pause', 'application/json', '0'],
    ]);
  });

  it('/req/core/process-execute-default-outputs: gives the outputs asked for, all where none is named', async () => {
    const inputs = { stringInput: 'x' };
    const ids = async (outputs: object | undefined) =>
      Object.keys(await (await execute(service(), 'echo', { inputs, outputs, response: 'document' })).json());
    expect(await ids(undefined)).toEqual(['stringInput', 'pause']);
    expect(await ids({ pause: { transmissionMode: 'value' } })).toEqual(['pause']);
  });
});

describe('options of one site', () => {
  it('are planned each by its rules, and their figures differ as those of the plans do', async () => {
    const options = [
      { name: 'as is', rules: 'default' },
      { name: 'more pegs', rules: { base: 'default', pegSpacingM: 0.5, reservePct: 20 } },
    ];
    const answer = await execute(service(), 'compare-options', {
      inputs: { site: garden(), options: [options[0], { value: options[1] }] },
      response: 'document',
    });
    const { plans, differences } = await answer.json();
    for (const { name, rules } of options) {
      expect(plans.value[name]).toEqual(await (await service().send('POST', '/plan', { ...garden(), rules })).json());
    }
    const [first, second] = differences.value.rows;
    const summaryOf = (name: string) => plans.value[name].summary;
    for (const { id } of differences.value.figures) {
      expect(second.figures[id]).toBe(summaryOf('more pegs')[id]);
      expect(first.differences[id]).toBe(0);
      expect(second.differences[id]).toBeCloseTo(summaryOf('more pegs')[id] - summaryOf('as is')[id], 3);
    }
    expect(second.differences.pegCount).toBeGreaterThan(0);
    expect(second.differences.priceTotal).toBeGreaterThan(0);
    expect(first).toMatchObject({ name: 'as is', stops: 0, auditPassed: true });
  });
});

describe('machines', () => {
  it('fit-machine looks at every class built in, and says why one does not fit', async () => {
    const answer = await execute(service(), 'fit-machine', { inputs: { site: garden() } });
    expect(answer.status).toBe(200);
    const fits: { rules: string; verdict: string; reasons: { code: string; message: string }[] }[] =
      await answer.json();
    expect(fits.map(({ rules }) => rules)).toEqual(['default', 'two-distance', 'small-lawn', 'large-lawn']);
    for (const { verdict, reasons } of fits) expect(reasons.length === 0).toBe(verdict === 'fits');
    expect(fits[0].verdict).toBe('fits');
  });

  it('fit-machine looks at the classes asked for, in their order', async () => {
    const slow = { base: 'default', name: 'slow', speedMps: 0.05, efficiency: 0.1 };
    const answer = await execute(service(), 'fit-machine', { inputs: { site: garden(), rules: ['small-lawn', slow] } });
    const [, fit] = await answer.json();
    expect(fit).toMatchObject({ rules: 'slow', verdict: 'fits-shared' });
    expect(fit.machinesAtLeast).toBe(Math.ceil(fit.hoursPerWeek / fit.windowH));
    expect(fit.reasons[0]).toMatchObject({ code: 'plan-upkeep.week-too-short', value: fit.hoursPerWeek });
  });

  it('split-lawn gives every machine a working area that is planned as every site is', async () => {
    const answer = await execute(service(), 'split-lawn', { inputs: { site: garden(), machines: 2 } });
    expect(answer.status).toBe(200);
    const { areas, isFair } = await answer.json();
    expect(isFair).toBe(true);
    expect(areas).toHaveLength(2);
    for (const { site, plan } of areas) {
      expect(plan.audit.passed).toBe(true);
      const again = await (await service().send('POST', '/plan', site)).json();
      expect(again.summary).toEqual(plan.summary);
    }
    const wrong = await execute(service(), 'split-lawn', { inputs: { site: garden(), machines: 0 } });
    expect([wrong.status, (await wrong.json()).errors[0].pointer]).toEqual([400, '/inputs/machines']);
  });
});

describe('inputs', () => {
  const pointers = async (processId: string, body: object) => {
    const answer = await execute(service(), processId, body);
    const { errors = [], status } = await answer.json();
    return [status, errors.map(({ pointer }: { pointer: string }) => pointer)];
  };

  it('/req/core/process-execute-input-validation: are refused with every place that is wrong', async () => {
    const twice = { name: 'a', rules: 'default' };
    for (const [processId, body, places] of [
      ['plan-site', {}, ['/inputs/site']],
      ['plan-site', { inputs: { site: 7, lawn: 1 } }, ['/inputs/lawn', '/inputs/site']],
      [
        'plan-site',
        { inputs: { site: { value: { type: 'Feature' } } } },
        ['/inputs/site/value/type', '/inputs/site/value/features'],
      ],
      ['plan-site', { inputs: { site: 'nowhere' } }, ['/inputs/site']],
      ['plan-site', { inputs: { site: 'test-garden', elevation: { type: 'Grid' } } }, ['/inputs/elevation/type']],
      ['plan-site', { inputs: { site: { value: garden(), mediaType: 'image/png' } } }, ['/inputs/site/mediaType']],
      ['plan-site', { inputs: { site: 'test-garden' }, outputs: { wire: {} } }, ['/outputs/wire']],
      [
        'plan-site',
        { inputs: { site: 'test-garden' }, outputs: { plan: { transmissionMode: 'reference' } } },
        ['/outputs/plan/transmissionMode'],
      ],
      [
        'plan-site',
        { inputs: { site: 'test-garden' }, outputs: { plan: { format: { mediaType: 'image/png' } } } },
        ['/outputs/plan/format/mediaType'],
      ],
      ['plan-site', { inputs: { site: 'test-garden' }, subscriber: { successUri: 'http://a.test' } }, ['/subscriber']],
      ['compare-options', { inputs: { site: 'test-garden', options: [twice] } }, ['/inputs/options']],
      [
        'compare-options',
        { inputs: { site: 'test-garden', options: [twice, { name: 'b', rules: { wireGapM: -1 } }] } },
        ['/inputs/options/1/rules/wireGapM'],
      ],
      ['compare-options', { inputs: { site: 'test-garden', options: [twice, twice] } }, ['/inputs/options/1/name']],
      ['echo', { inputs: { stringInput: 'x', pause: 'long' } }, ['/inputs/pause']],
    ] as const) {
      expect(await pointers(processId, body), JSON.stringify(body).slice(0, 200)).toEqual([400, places]);
    }
    for (const body of ['', '{', '[]', '7', `${'['.repeat(100)}${']'.repeat(100)}`]) {
      expect((await execute(service(), 'plan-site', body)).status, body.slice(0, 20)).toBe(400);
    }
    expect((await execute(service(), 'plan-site', {}, { 'content-type': 'text/xml' })).status).toBe(415);
  });

  it('are never fetched from anywhere', async () => {
    for (const href of [
      'http://169.254.169.254/',
      'file:///etc/passwd',
      `${BASE}/ogc/../plan`,
      `${BASE}.evil.test/ogc/sites/a`,
      7,
    ]) {
      expect(await pointers('plan-site', { inputs: { site: { href } } })).toEqual([400, ['/inputs/site/href']]);
    }
    const answer = await pointers('plan-site', {
      inputs: { site: 'test-garden', elevation: { href: `${BASE}/ogc/grids/a` } },
    });
    expect(answer).toEqual([400, ['/inputs/elevation/href']]);
  });

  it('that cannot be planned are refused with their places in the request', async () => {
    const features = [{ type: 'Feature', properties: { kind: 'lawn' }, geometry: { type: 'Polygon', coordinates: 7 } }];
    const site = { type: 'FeatureCollection', features };
    const wrong = '/features/0/geometry/coordinates';
    expect(await pointers('plan-site', { inputs: { site } })).toEqual([422, [`/inputs/site${wrong}`]]);
    expect(await pointers('plan-site', { inputs: { site: { value: site } } })).toEqual([
      422,
      [`/inputs/site/value${wrong}`],
    ]);
    expect(await pointers('plan-site', { inputs: { site: garden(), rules: 'unheard-of' } })).toEqual([
      422,
      ['/inputs/rules'],
    ]);
    const coverage = { type: 'Coverage', domain: 7 };
    const [status, [place]] = await pointers('plan-site', { inputs: { site: garden(), elevation: coverage } });
    expect([status, place]).toEqual([422, '/inputs/elevation']);
  });
});

describe('running as a job', () => {
  it('/req/core/process-execute-success-async, job-success, job-results: answers where the job is, and then its results', async () => {
    const answer = await execute(
      service(),
      'plan-site',
      { inputs: { site: 'test-garden' } },
      { prefer: 'wait=5, respond-async' },
    );
    expect([answer.status, answer.headers.get('preference-applied')]).toEqual([201, 'respond-async']);
    const location = answer.headers.get('location') ?? '';
    expect(location).toMatch(/^http:\/\/loopwright\.test\/ogc\/jobs\/.+/);
    expect(await answer.json()).toMatchObject({ processID: 'plan-site', type: 'process' });
    await service().settled();
    const job = await (await service().request(location)).json();
    expect(job).toMatchObject({ status: 'successful', progress: 100, processID: 'plan-site', type: 'process' });
    expect(location).toContain(job.jobID);
    expect(job.created <= job.started && job.started <= job.finished && job.finished <= job.updated).toBe(true);
    const results = await service().request(target(job.links, `${REL}/results`) ?? '');
    expect(results.headers.get('content-type')).toBe('application/geo+json');
    const sync = await execute(service(), 'plan-site', { inputs: { site: 'test-garden' } });
    expect(await results.json()).toEqual(await sync.json());
    expect(Date.parse(job.message.replace('results are kept until ', '')) - Date.parse(job.finished)).toBe(
      168 * 3_600_000,
    );
  });

  it('/req/core/job-results-exception/results-not-ready: says so while it runs, and how far it is', async () => {
    const id = await startJob(service(), 'echo', { inputs: { stringInput: 'x', pause: 2 } });
    const early = await get(`/jobs/${id}/results`);
    expect(early.status).toBe(404);
    expect((await early.json()).type).toBe(`${EXCEPTION}/result-not-ready`);
    const seen = new Set<number>();
    for (
      let job = await json(`/jobs/${id}`);
      ['accepted', 'running'].includes(job.status);
      job = await json(`/jobs/${id}`)
    ) {
      seen.add(job.progress);
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    expect([...seen].toSorted()).toEqual([0, 50]);
  });

  it('/req/core/job-results-failed: answers with the status and the reasons of the failure', async () => {
    const site = { type: 'FeatureCollection', features: [7] };
    const id = await startJob(service(), 'plan-site', { inputs: { site } });
    await service().settled();
    const job = await json(`/jobs/${id}`);
    expect(job).toMatchObject({ status: 'failed' });
    expect(job.message).toContain('must be corrected');
    const answer = await get(`/jobs/${id}/results`);
    expect(answer.status).toBe(422);
    expect((await answer.json()).errors[0].pointer).toBe('/inputs/site/features/0');
  });

  it('/req/core/job-exception/no-such-job, job-results-exception/no-such-job: are told by the type of the standard', async () => {
    for (const answer of [await get('/jobs/none'), await get('/jobs/none/results')]) {
      expect(answer.status).toBe(404);
      expect((await answer.json()).type).toBe(`${EXCEPTION}/no-such-job`);
    }
  });

  it('keeps no more jobs of a firm than it may', async () => {
    const statuses: number[] = [];
    for (let i = 0; i < 21; i++) {
      const prefer = { prefer: 'respond-async' };
      statuses.push((await execute(service(), 'echo', { inputs: { stringInput: 'x' } }, prefer)).status);
    }
    const { jobs } = await json('/jobs');
    expect(jobs.length).toBe(20);
    expect(new Set(statuses)).toEqual(new Set([201, 403]));
    await service().settled();
  });
});
