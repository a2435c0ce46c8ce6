import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { planSchema } from '#api/contract/plan-schema.ts';
import { garden } from '../../support/garden.ts';
import { manySites } from '../../support/many-sites.ts';
import { useService } from '../../support/test-app.ts';

const BYTES_MAX = 20_000;
const service = useService({ limits: { bodyBytesMax: BYTES_MAX, planningMsMax: 5_000, streamsMax: 1 } });

const SEQUENCE = 'application/geo+json-seq';
const LINES = 'application/x-ndjson';

function send(
  body: string | Uint8Array<ArrayBuffer>,
  contentType: string,
  query = '',
  headers: Record<string, string> = {},
) {
  return service().request(`/plan${query}`, {
    method: 'POST',
    headers: { 'content-type': contentType, ...headers },
    body,
  });
}

async function answersTo(answer: Response) {
  expect(answer.status).toBe(200);
  const lines = (await answer.text()).split('\n');
  expect(lines.pop()).toBe('');
  return lines.map((line) => JSON.parse(line.startsWith('\u001e') ? line.slice(1) : line));
}

const wrongSite = JSON.stringify({
  ...garden(),
  features: [{ type: 'Feature', properties: {}, geometry: { type: 'Point', coordinates: 'here' } }],
});

describe('POST /plan with many sites', () => {
  it('answers a GeoJSON text sequence with one, site by site and in order', async () => {
    const sites = manySites(12);
    const answer = await send(sites.map((site) => `\u001e${site}\n`).join(''), SEQUENCE);
    expect(answer.headers.get('content-type')).toBe(SEQUENCE);
    const text = await answer.text();
    expect(
      text
        .split('\n')
        .slice(0, -1)
        .every((line) => line.startsWith('\u001e{')),
    ).toBe(true);
    const plans = text
      .split('\u001e')
      .slice(1)
      .map((line) => planSchema.parse(JSON.parse(line)));
    expect(plans.map(({ id }) => id)).toEqual(sites.map((_, i) => `parcel-${i}`));
    expect(plans.every(({ audit }) => audit.passed)).toBe(true);
  });

  it('plans each as it would be planned alone', async () => {
    const [first, second] = manySites(2);
    const [, line] = await answersTo(await send(`${first}\n${second}`, LINES, '?include=route', { accept: LINES }));
    const alone = await (await service().plan(JSON.parse(second), '?include=route')).json();
    expect(line).toEqual({ ...alone, source: { record: 1 } });
  });

  it('answers line by line in plain JSON where that is accepted, or by f', async () => {
    const [site] = manySites(1);
    for (const [query, accept] of [
      ['', LINES],
      ['?f=ndjson', '*/*'],
    ]) {
      const answer = await send(site, LINES, query, { accept });
      expect(answer.headers.get('content-type')).toBe(LINES);
      expect(JSON.parse(await answer.text()).id).toBe('parcel-0');
    }
    expect((await send(site, LINES, '', { accept: 'text/csv' })).status).toBe(406);
    expect((await send(site, LINES, '?f=svg')).status).toBe(400);
  });

  it('takes one FeatureCollection of sites where body=sites says so', async () => {
    const sites = manySites(3);
    const collection = `{"name":"features","features":[${sites.join(', ')}],"type":"FeatureCollection"}`;
    const plans = await answersTo(await send(collection, 'application/geo+json', '?body=sites'));
    expect(plans.map(({ id }) => id)).toEqual(['parcel-0', 'parcel-1', 'parcel-2']);
  });

  it('takes a Feature for the parcel of a site, and tells its faults where they are in it', async () => {
    const geometry = {
      type: 'Polygon',
      coordinates: [
        [
          [10, 50],
          [10.0003, 50],
          [10.0003, 50.0002],
          [10, 50.0002],
          [10, 50],
        ],
      ],
    };
    const ground = { type: 'Feature', id: 7, properties: { name: 'Plot', rules: 'small-lawn' }, geometry };
    const wrong = {
      ...ground,
      properties: { rules: 'fancy' },
      geometry: { type: 'Polygon', coordinates: [[[10, 'x']]] },
    };
    const [plan, refused] = await answersTo(await send(`${JSON.stringify(ground)}\n${JSON.stringify(wrong)}`, LINES));
    expect(plan).toMatchObject({ id: 7, name: 'Plot', rules: { name: 'small-lawn' } });
    expect(plan.summary.lawnAreaM2).toBeGreaterThan(400);
    const pointers = refused.problem.errors.map(({ pointer }: { pointer: string }) => pointer);
    expect(pointers).toContain('/properties/rules');
    expect(pointers.every((pointer: string) => /^\/(properties|geometry)\//.test(pointer))).toBe(true);
  });

  it('answers whatever is wrong with a site in its place, and goes on', async () => {
    const [good] = manySites(1);
    const tooLong = JSON.stringify({ ...garden(), padding: 'x'.repeat(BYTES_MAX) });
    const lines = [
      'no JSON',
      good,
      wrongSite,
      '42',
      tooLong,
      '{"type": "FeatureCollection", ',
      '',
      '[[[',
      good,
      tooLong,
    ];
    const answers = await answersTo(await send(`${lines.join('\n')}\n`, LINES));
    expect(answers.map(({ problem, id }) => problem?.type ?? id)).toEqual([
      '/problems/invalid-json',
      'parcel-0',
      '/problems/invalid-site',
      '/problems/invalid-site',
      '/problems/too-large',
      '/problems/invalid-json',
      '/problems/invalid-json',
      'parcel-0',
      '/problems/too-large',
    ]);
    expect(answers.map(({ source }) => source.record)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
    expect(answers[2]).toMatchObject({ type: 'FeatureCollection', features: [], problem: { status: 422 } });
    expect(answers[2].problem.errors[0].pointer).toBe('/features/0/geometry/coordinates');
    expect(answers[4].problem.detail).toContain(`${tooLong.length} bytes`);
  });

  it('answers members of a collection that are no sites or too long in their place', async () => {
    const [good] = manySites(1);
    const tooLong = JSON.stringify({
      ...garden(),
      padding: ['x'.repeat(900), ...Array.from({ length: 9_000 }, () => [1])],
    });
    const collection = `{"features":[7,${good},${tooLong},"x",[],${good}]}`;
    const answers = await answersTo(await send(collection, 'application/json', '?body=sites'));
    const seen = answers.map(({ problem, id }) => problem?.type ?? id);
    const [site, large] = ['/problems/invalid-site', '/problems/too-large'];
    expect(seen).toEqual([site, 'parcel-0', large, site, site, 'parcel-0']);
  });

  it.each([
    ['breaks off', (site: string) => `{"features":[${site},{"type":`, 'broke off'],
    ['is no JSON', (site: string) => `{"features":[${site}, nonsense, ${site}]}`, 'cannot be told apart'],
    ['holds no list', () => '{"type":"FeatureCollection"}', 'no list "features"'],
    ['is one endless text', (site: string) => `{"features":[${site},"${'x'.repeat(400_000)}`, 'cannot be told apart'],
  ])('says in its last answer where a collection %s', async (_what, write, said) => {
    const [good] = manySites(1);
    const answers = await answersTo(await send(write(good), 'application/geo+json', '?body=sites'));
    expect(answers.at(-1).problem.detail).toContain(said);
    expect(answers.slice(0, -1).every(({ id }) => id === 'parcel-0')).toBe(true);
  });

  it('says where packed bytes end before their time, after what came', async () => {
    const packed = gzipSync(
      manySites(4)
        .map((site) => `${site}\n`)
        .join(''),
    );
    const whole = await answersTo(await send(Uint8Array.from(packed), LINES, '', { 'content-encoding': 'gzip' }));
    expect(whole.map(({ id }) => id)).toEqual(['parcel-0', 'parcel-1', 'parcel-2', 'parcel-3']);
    const torn = Uint8Array.from(packed.subarray(0, packed.length - 30));
    const answers = await answersTo(await send(torn, LINES, '', { 'content-encoding': 'gzip' }));
    expect(answers.at(-1).problem.type).toBe('/problems/invalid-body');
  });

  it('answers an empty body with nothing', async () => {
    expect(await answersTo(await send(' \n\n', LINES))).toEqual([]);
  });

  it('refuses what it cannot do before it begins', async () => {
    const [site] = manySites(1);
    expect((await send(site, LINES, '?include=moon')).status).toBe(400);
    expect((await send(site, 'application/geo+json', '?body=gardens')).status).toBe(400);
    expect((await send(site, 'multipart/form-data', '?body=sites')).status).toBe(415);
    expect((await send(site, LINES, '', { 'content-encoding': 'br' })).status).toBe(415);
    expect((await send(site, 'text/plain')).status).toBe(415);
  });

  it('runs so many streams at once and no more, and is free again when one ends or is left', async () => {
    const [site] = manySites(1);
    const endless = new ReadableStream({
      pull: (controller) => controller.enqueue(new TextEncoder().encode(`${site}\n`)),
    });
    const init = { method: 'POST', headers: { 'content-type': LINES }, body: endless, duplex: 'half' } as const;
    const first = await service().request('/plan', init);
    const reader = first.body?.getReader();
    await reader?.read();
    const second = await send(site, LINES);
    expect([second.status, second.headers.get('retry-after')]).toEqual([503, '5']);
    await reader?.cancel();
    expect((await answersTo(await send(site, LINES)))[0].id).toBe('parcel-0');
    expect(service().events.some(({ event, given }) => event === 'plan-stream' && given === 'up')).toBe(true);
    expect(service().deps.planner.load().waiting).toBe(0);
  });
});
