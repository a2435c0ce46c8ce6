/* Long because every kind of bad body goes to the one service that must outlive them all. */
import { readFileSync } from 'node:fs';
import { connect } from 'node:net';
import { createGzip, gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { planSchema } from '#api/contract/plan-schema.ts';
import { problemSchema } from '#api/contract/problem-schema.ts';
import { garden } from '../support/garden.ts';
import { drawSite, rectangle } from '../support/plane-site.ts';
import { type StartedService, startService } from '../support/started-service.ts';

/** Everything here goes to one real service over a socket; after each of them it must still plan a garden. */
const LIMITS = { LOOPWRIGHT_PLANNING_MAX_S: '4', LOOPWRIGHT_WORKER_MEMORY_MB: '512', LOOPWRIGHT_BODY_MAX_MB: '16' };
/** One worker at its limit, bodies in flight and the program itself. */
const PEAK_MAX_MB = 1024;

let service: StartedService;
beforeAll(async () => {
  service = await startService(LIMITS);
});
afterAll(async () => {
  expect(await service.stop()).toBe(0);
});

const file = (name: string) => readFileSync(new URL(`../../fixtures/bad-input/${name}`, import.meta.url), 'utf8');
const MB = 1024 * 1024;
const draw = drawSite();
const site = (...features: readonly unknown[]) => ({ type: 'FeatureCollection', features });
const feature = (kind: string, geometry: unknown, properties: object = {}) => ({
  type: 'Feature',
  properties: { kind, ...properties },
  geometry,
});
const point = (coordinates: readonly unknown[]) => ({ type: 'Point', coordinates });

type Body = string | Uint8Array<ArrayBuffer> | ReadableStream | object;

function post(body: Body, headers: Readonly<Record<string, string>> = {}, query = ''): Promise<Response> {
  const isRaw = typeof body === 'string' || body instanceof Uint8Array || body instanceof ReadableStream;
  return fetch(`${service.url}plan${query}`, {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json', ...headers },
    body: isRaw ? body : JSON.stringify(body),
    ...(body instanceof ReadableStream && { duplex: 'half' }),
  });
}

async function problemOf(answer: Response) {
  const text = await answer.text();
  expect(answer.headers.get('content-type')).toBe('application/problem+json');
  expect(text).not.toMatch(/\bat .*\.[tj]s:\d+|node:internal|node_modules/);
  const details = problemSchema.parse(JSON.parse(text));
  expect(details.status).toBe(answer.status);
  return details;
}

async function expectAlive(): Promise<void> {
  const answer = await post(garden());
  expect(answer.status).toBe(200);
  expect(planSchema.parse(await answer.json()).audit.passed).toBe(true);
}

/** `mib` megabytes of zeros in gzip, made as they are sent. */
function bomb(mib: number): ReadableStream {
  const gzip = createGzip({ level: 9 });
  const zeros = new Uint8Array(MB);
  let sent = 0;
  const feed = (): void => {
    while (sent < mib) {
      sent++;
      if (!gzip.write(zeros)) {
        gzip.once('drain', feed);
        return;
      }
    }
    gzip.end();
  };
  feed();
  return new ReadableStream({
    async start(controller) {
      try {
        for await (const chunk of gzip) controller.enqueue(chunk);
        controller.close();
      } catch {
        // The receiver has stopped reading: that is what the test is about.
      }
    },
    cancel: () => {
      gzip.destroy();
    },
  });
}

describe('bodies that are no JSON', () => {
  it.each<[string, Body, RegExp]>([
    ['nothing', '', /empty/],
    ['half a site', JSON.stringify(garden()).slice(0, -40), /JSON/],
    ['10 MB of opening brackets', '['.repeat(10 * MB), /nested more than 64 deep/],
    ['10 MB of brackets that close again', '['.repeat(5 * MB) + ']'.repeat(5 * MB), /nested more than 64 deep/],
    ['10 MB of nested objects', '{"a":'.repeat(2 * MB), /nested more than 64 deep/],
    ['NaN', '{"type": "FeatureCollection", "features": [NaN]}', /JSON/],
    ['bytes that are no text', Uint8Array.from({ length: 5000 }, (_, i) => i % 256), /UTF-8/],
    ['gzip that does not say so', gzipSync('{}'), /UTF-8/],
  ])('%s', async (_what, body, detail) => {
    const answer = await post(body);
    expect(answer.status).toBe(400);
    expect((await problemOf(answer)).detail).toMatch(detail);
    await expectAlive();
  });
});

describe('bodies that are no body', () => {
  it.each<[string, Body, Record<string, string>, number, RegExp]>([
    [
      'a gzip that swells to a gigabyte',
      bomb(1024),
      { 'content-encoding': 'gzip' },
      413,
      /larger than 16777216 bytes after decompression/,
    ],
    ['17 MB of blanks', ' '.repeat(17 * MB), {}, 413, /larger than 16777216 bytes/],
    [
      'half a gzip',
      gzipSync(JSON.stringify(garden())).subarray(0, 90),
      { 'content-encoding': 'gzip' },
      400,
      /not whole gzip/,
    ],
    ['text that claims to be gzip', '{}', { 'content-encoding': 'gzip' }, 400, /not whole gzip/],
    ['an encoding nobody knows', '{}', { 'content-encoding': 'rot13' }, 415, /gzip or deflate/],
    ['plain text', '{}', { 'content-type': 'text/plain' }, 415, /application\/geo\+json/],
    ['multipart without a boundary', '{}', { 'content-type': 'multipart/form-data' }, 400, /boundary/],
    [
      'multipart without an end',
      '--x\r\nContent-Disposition: form-data; name="site"\r\n\r\n{',
      { 'content-type': 'multipart/form-data; boundary=x' },
      400,
      /multipart/,
    ],
  ])('%s', async (_what, body, headers, status, detail) => {
    const answer = await post(body, headers);
    expect(answer.status).toBe(status);
    expect((await problemOf(answer)).detail).toMatch(detail);
    await expectAlive();
  });

  it('a sender that listens only when all is sent', async () => {
    const { hostname, port } = new URL(service.url);
    const body = Buffer.alloc(17 * MB, ' ');
    for (let i = 0; i < 5; i++) {
      const socket = connect(Number(port), hostname).pause().setEncoding('latin1');
      socket.write(
        `POST /plan HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: application/json\r\nContent-Length: ${body.length}\r\n\r\n`,
      );
      await new Promise<void>((resolve, reject) => {
        socket.once('error', reject);
        socket.write(body, () => resolve());
      });
      let answer = '';
      for await (const text of socket) answer += text;
      expect(answer).toMatch(/^HTTP\/1\.1 413 /);
      expect(answer).toMatch(/larger than 16777216 bytes/);
    }
    await expectAlive();
  });

  it('a sender that goes away in the middle', async () => {
    const { hostname, port } = new URL(service.url);
    const socket = connect(Number(port), hostname);
    socket.write(
      'POST /plan HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n{"type"',
    );
    await new Promise((resolve) => setTimeout(resolve, 50));
    socket.destroy();
    await expectAlive();
  });

  it('something that is no HTTP', async () => {
    const { hostname, port } = new URL(service.url);
    const socket = connect(Number(port), hostname);
    socket.end('\x00\x01 garbage\r\n\r\n');
    const heard = await new Promise<string>((resolve) => socket.once('data', (data) => resolve(String(data))));
    expect(heard).toMatch(/^HTTP\/1.1 400 /);
    socket.destroy();
    await expectAlive();
  });
});

describe('sites that cannot be planned', () => {
  const lawn = draw.area('lawn', [rectangle(0, 0, 20, 15)]);

  it.each<[string, object, string, RegExp]>([
    ['a list', [], '', /FeatureCollection/],
    ['an empty object', {}, '/type', /missing/],
    ['features of every wrong type', site(7, 'lawn', null, []), '/features/0', /a feature is an object/],
    [
      'texts for numbers',
      site(feature('outlet', point(['10.5', 52]))),
      '/features/0/geometry/coordinates/0',
      /finite number/,
    ],
    [
      'latitude 95',
      site(lawn, feature('outlet', point([10.5, 95]))),
      '/features/1/geometry/coordinates',
      /latitude 95 is beyond 90/,
    ],
    ['1e308', site(lawn, feature('outlet', point([1e308, 52]))), '/features/1/geometry/coordinates', /crs=EPSG:28992/],
    [
      'metres for degrees',
      site(feature('outlet', point([84808, 447641]))),
      '/features/0/geometry/coordinates',
      /crs=EPSG:28992/,
    ],
    [
      'latitude first',
      site(feature('outlet', point([39.97, -105.25]))),
      '/features/0/geometry/coordinates',
      /longitude first/,
    ],
    [
      'a tree on another continent',
      site(lawn, feature('tree', point([-70, 40]))),
      '/features/1/geometry/coordinates',
      /one property/,
    ],
    [
      'rules beyond their bounds',
      { ...site(lawn), rules: { pegSpacingM: 1e9 } },
      '/rules/pegSpacingM',
      /from 0.1 to 5 m/,
    ],
    ['a rule set nobody knows', { ...site(lawn), rules: '__proto__' }, '/rules', /known are default/],
    [
      'an unknown old crs',
      { ...site(lawn), crs: { type: 'name', properties: { name: 'moon' } } },
      '/crs',
      /EPSG:<code>/,
    ],
    ['a grid that is none', { ...site(lawn), elevation: 'flat' }, '/elevation', /CoverageJSON/],
  ])('%s', async (_what, body, pointer, detail) => {
    const answer = await post(body);
    expect(answer.status).toBe(422);
    const { errors = [] } = await problemOf(answer);
    expect(errors[0].pointer).toBe(pointer);
    expect(errors[0].detail).toMatch(detail);
    await expectAlive();
  });

  it('a number too large for any JSON reader', async () => {
    const text = JSON.stringify(site(feature('outlet', point([10.5, 52])))).replace('10.5', '1e400');
    const { errors = [] } = await problemOf(await post(text));
    expect(errors[0]).toEqual({
      pointer: '/features/0/geometry/coordinates/0',
      detail: 'a coordinate is a finite number, this is a number too large to hold',
    });
  });

  it('a hundred thousand faults: a hundred are listed, the others counted', async () => {
    const coordinates = Array(100_000).fill([1, 'x']);
    const answer = await post(site(feature('edge', { type: 'LineString', coordinates })));
    const { errors = [], more } = await problemOf(answer);
    expect([errors.length, more]).toEqual([100, 99_900]);
    await expectAlive();
  });

  it.each([
    [
      'a lawn of 200,000 positions',
      () => site(feature('lawn', { type: 'Polygon', coordinates: [roundLawn(200_000)] })),
      /200001 positions .* 100000/,
    ],
    ['5,001 features', () => site(...Array(5001).fill(lawn)), /5001 features .* 5000/],
  ])('%s', async (_what, body, detail) => {
    const answer = await post(body());
    expect(answer.status).toBe(413);
    expect((await problemOf(answer)).errors).toEqual([{ pointer: '/features', detail: expect.stringMatching(detail) }]);
    await expectAlive();
  });
});

/** A closed ring of `count` positions on a circle of 30 m. */
function roundLawn(count: number): number[][] {
  const ring = Array.from({ length: count }, (_, i) => {
    const turn = (2 * Math.PI * i) / count;
    return [10.5 + 4.4e-4 * Math.cos(turn), 52.25 + 2.7e-4 * Math.sin(turn)];
  });
  return [...ring, ring[0]];
}

/** A scribble all over a hundred metres, the same every time. */
function scribble(count: number): number[][] {
  let state = 1;
  const next = (): number => {
    state = (state * 16_807) % 2_147_483_647;
    return state / 2_147_483_647;
  };
  return Array.from({ length: count }, () => [10.5 + 1.5e-3 * next(), 52.25 + 1e-3 * next()]);
}

describe('sites that are too much for the time allowed', () => {
  it.each([
    [
      'a round lawn of 99,000 positions',
      () => site(feature('lawn', { type: 'Polygon', coordinates: [roundLawn(99_000)] })),
    ],
    [
      'a lawn scribbled with 20,000 strokes',
      () => site(feature('lawn', { type: 'Polygon', coordinates: [scribble(20_000)] })),
    ],
    [
      '4,999 trees',
      () =>
        site(
          draw.area('lawn', [rectangle(0, 0, 110, 120)]),
          ...scribble(4999).map((at) => feature('tree', point(at), { radius: 0.4 })),
        ),
    ],
  ])('%s', async (_what, body) => {
    const answer = await post(body());
    if (answer.status === 200) expect(planSchema.safeParse(await answer.json()).success).toBe(true);
    else {
      const { type, detail } = await problemOf(answer);
      expect(type).toMatch(/^\/problems\/(time|memory)-limit$/);
      expect(detail).toMatch(/LOOPWRIGHT_.*simplify/);
    }
    await expectAlive();
  });

  it('answer others while one of them is planned', async () => {
    const slow = post(site(feature('lawn', { type: 'Polygon', coordinates: [roundLawn(99_000)] })));
    const order: string[] = [];
    const health = await fetch(`${service.url}health`);
    order.push('health');
    void slow.then(() => order.push('slow'));
    expect(health.status).toBe(200);
    await (await slow).text();
    expect(order).toEqual(['health', 'slow']);
  });
});

describe('grids that do not fit', () => {
  const grid = (header: string, rows: string) => new File([`${header}\n${rows}`], 'ground.asc');
  async function withGrid(elevation: File, epsg: string): Promise<Response> {
    const form = new FormData();
    form.set('site', JSON.stringify(garden()));
    form.set('elevation', elevation);
    form.set('elevationEpsg', epsg);
    return fetch(`${service.url}plan`, { method: 'POST', body: form });
  }

  it('one of another country is a finding, and the garden is planned without it', async () => {
    const answer = await withGrid(
      grid('ncols 2\nnrows 2\nxllcorner 84000\nyllcorner 447000\ncellsize 1', '1 1\n1 1'),
      '28992',
    );
    expect(answer.status).toBe(200);
    const { summary, findings } = planSchema.parse(await answer.json());
    expect(summary.maxSlopePct).toBeNull();
    expect(findings.map(({ code }) => code).filter((code) => code.startsWith('survey-slope.'))).toHaveLength(1);
  });

  it('one with more cells than allowed is refused by its header alone', async () => {
    const answer = await withGrid(
      grid('ncols 100000\nnrows 100000\nxllcorner 0\nyllcorner 0\ncellsize 1', '1 1'),
      '25832',
    );
    expect(answer.status).toBe(413);
    expect((await problemOf(answer)).detail).toContain('LOOPWRIGHT_CELLS_MAX');
  });

  it('one that breaks off is refused', async () => {
    const answer = await withGrid(grid('ncols 90\nnrows 90\nxllcorner 0\nyllcorner 0\ncellsize 1', '1 1 1'), '25832');
    expect(answer.status).toBe(422);
    expect((await problemOf(answer)).detail.length).toBeGreaterThan(30);
  });
});

describe('broken polygons of real registers', () => {
  type Bad = { readonly properties: { readonly why: string }; readonly geometry: unknown };
  const polygons: readonly Bad[] = JSON.parse(file('real-bad-polygons.geojson')).features;

  it.each(polygons.map((bad, i) => [i, bad.properties.why, bad] as const))(
    '%i, %s: planned as a lawn, the mend said',
    async (_i, why, bad) => {
      const answer = await post(site(feature('lawn', bad.geometry)));
      expect(answer.status).toBe(200);
      const { audit, findings } = planSchema.parse(await answer.json());
      expect(audit.passed).toBe(true);
      const codes = findings.map(({ code }) => code);
      if (why === 'Self-intersection') expect(codes).toContain('project-site.crossing-mended');
      if (why === 'unclosed way') expect(codes).toContain('read-site.ring-closed');
    },
  );
});

describe('a list of valid and invalid GeoJSON made by others', () => {
  type ValidityCase = { readonly group: string; readonly case: string; readonly geojson: unknown };
  const cases: readonly ValidityCase[] = file('validity-cases.jsonl')
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));

  it.each(cases.map((one) => [one.group, one.case, one] as const))('%s: %s', async (group, _name, { geojson }) => {
    const answer = await post(Object(geojson));
    if (group === 'invalid_structure') expect(answer.status).toBe(422);
    if (answer.status === 200) expect(planSchema.safeParse(await answer.json()).success).toBe(true);
    else expect((await problemOf(answer)).errors?.[0].detail).toMatch(/\w/);
  });
});

describe('after all of it', () => {
  it('the service plans a garden, has seen no defect of its own and kept its memory', async () => {
    await expectAlive();
    expect(service.lines.filter((line) => line.includes('"failure"'))).toEqual([]);
    expect(service.peakMb() ?? 0).toBeLessThan(PEAK_MAX_MB);
  });

  it('writes one line of JSON for every event', () => {
    for (const line of service.lines)
      expect(JSON.parse(line)).toMatchObject({ time: expect.any(String), event: expect.any(String) });
  });
});
