import { readFileSync } from 'node:fs';
import { context, propagation, trace } from '@opentelemetry/api';
import { AsyncLocalStorageContextManager } from '@opentelemetry/context-async-hooks';
import { BasicTracerProvider, InMemorySpanExporter, SimpleSpanProcessor } from '@opentelemetry/sdk-trace-base';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { NUMBER_SETTINGS, OTHER_SETTINGS, readConfig } from '#api/read-config.ts';
import { garden } from '../../support/garden.ts';
import { useKeptService } from '../../support/kept-service.ts';
import { useService } from '../../support/test-app.ts';

const kept = useKeptService();
const plain = useService();

describe('readiness', () => {
  it('is said where what is kept can be reached', async () => {
    const answer = await kept().request('/ready');
    expect([answer.status, await answer.json()]).toEqual([200, { status: 'ready' }]);
  });

  it('is denied with the reason and when to ask again where it cannot', async () => {
    const answer = await plain().request('/ready');
    expect([answer.status, answer.headers.get('retry-after')]).toEqual([503, '5']);
    expect((await answer.json()).detail).toBe('what is kept cannot be reached: these tests keep nothing');
  });
});

/** Prometheus text format 0.0.4: https://prometheus.io/docs/instrumenting/exposition_formats/ */
function figures(text: string): Map<string, number> {
  const lines = text.split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  return new Map(
    lines.map((line) => {
      const parts = /^([a-zA-Z_:][\w:]*(?:\{[^}]*\})?) (\S+)$/.exec(line);
      if (parts === null) throw new Error(`no line of the format: ${line}`);
      return [parts[1], Number(parts[2])];
    }),
  );
}

describe('metrics', () => {
  it('count requests by route, never by what was asked for', async () => {
    const count = 'loopwright_request_duration_seconds_count{method="GET",route="/problems/:code",status="404"}';
    const before = figures(await (await plain().request('/metrics')).text()).get(count) ?? 0;
    for (const code of ['one', 'two', 'three']) await plain().request(`/problems/${code}`);
    const answer = await plain().request('/metrics');
    expect(answer.headers.get('content-type')).toMatch(/^text\/plain; version=0\.0\.4/);
    const text = await answer.text();
    expect(figures(text).get(count)).toBe(before + 3);
    expect(text).not.toContain('/problems/two');
    expect(figures(text).get('loopwright_planning_seats{state="workers"}')).toBe(1);
  });

  it('count jobs by outcome', async () => {
    await kept().addSite({ ...garden(), id: 'counted' });
    const text = await (await kept().request('/metrics')).text();
    expect(figures(text).get('loopwright_jobs_total{process="replan-site",outcome="successful"}')).toBe(1);
    expect(text).not.toContain('counted"');
  });

  it('are there on loopback, elsewhere only where switched on', () => {
    expect(readConfig({}, 1).settings.hasMetrics).toBe(true);
    expect(readConfig({ HOST: '0.0.0.0' }, 1).settings.hasMetrics).toBe(false);
    expect(readConfig({ HOST: '0.0.0.0', LOOPWRIGHT_METRICS: 'on' }, 1).settings.hasMetrics).toBe(true);
  });
});

describe('traces', () => {
  const exporter = new InMemorySpanExporter();
  const provider = new BasicTracerProvider({ spanProcessors: [new SimpleSpanProcessor(exporter)] });
  beforeAll(() => {
    context.setGlobalContextManager(new AsyncLocalStorageContextManager());
    trace.setGlobalTracerProvider(provider);
  });
  afterAll(async () => {
    await provider.shutdown();
    trace.disable();
    context.disable();
    propagation.disable();
  });

  it('name the request as the semantic conventions do', async () => {
    await plain().request('/problems/none', { headers: { 'x-request-id': 'traced' } });
    const span = exporter.getFinishedSpans().find(({ attributes }) => attributes['loopwright.request_id'] === 'traced');
    expect(span?.name).toBe('GET /problems/:code');
    expect(span?.attributes).toMatchObject({
      'http.request.method': 'GET',
      'http.route': '/problems/:code',
      'http.response.status_code': 404,
    });
  });
});

describe('the page on running the service', () => {
  const rows = [
    ...readFileSync(new URL('../../../docs/operations.md', import.meta.url), 'utf8').matchAll(
      /^\| `(\w+)` +\| ([^|]*?) +\| ([^|]*?) +\|/gm,
    ),
  ];
  const row = (name: string) => rows.find(([, found]) => found === name);

  it('tells every setting and no other', () => {
    expect(rows.map(([, name]) => name).toSorted()).toEqual(
      [...Object.keys(NUMBER_SETTINGS), ...OTHER_SETTINGS].toSorted(),
    );
  });

  it.each(Object.entries(NUMBER_SETTINGS))('tells standard and bounds of %s', (name, { standard, min, max }) => {
    if (standard !== undefined) expect(row(name)?.[2]).toBe(String(standard));
    expect(row(name)?.[3]).toBe(`${min} to ${max}`);
  });
});
