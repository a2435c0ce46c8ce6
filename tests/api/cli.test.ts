import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { runCommand } from '#api/command-line/run-command.ts';
import { planSchema } from '#api/contract/plan-schema.ts';
import { STAGE_IDS } from '#geo-core/index.ts';
import { garden } from '../support/garden.ts';

const root = new URL('../..', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'loopwright-cli-'));
afterAll(() => rmSync(folder, { recursive: true }));

const file = (name: string, content: unknown): string => {
  const path = join(folder, name);
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
};
const site = file('garden.geojson', garden());

async function run(...args: readonly string[]) {
  let [stdout, stderr] = ['', ''];
  const status = await runCommand(args, {
    out: (text) => {
      stdout += text;
    },
    err: (text) => {
      stderr += text;
    },
    isWatched: false,
    cores: 1,
    nowMs: () => performance.now(),
    version: 'test',
    environment: {},
  });
  return { status, stdout, stderr };
}

describe('the command line', () => {
  it('prints figures, findings, take-off and audit of a plan', async () => {
    const { status, stdout, stderr } = await run('plan', site);
    expect([status, stderr]).toEqual([0, '']);
    for (const part of [
      'Test garden',
      'Rule set: default',
      'Route',
      'Take-off',
      'Audit: passed',
      'Before and while laying',
    ]) {
      expect(stdout).toContain(part);
    }
    expect(stdout).toMatch(/Lawn +300\.0 m²/);
    expect(Math.max(...stdout.split('\n').map((line) => line.length))).toBeLessThan(121);
  });

  it('prints feet where asked, and takes a rule set by name or from a file', async () => {
    expect((await run('plan', site, '--units', 'us')).stdout).toMatch(/Lawn +3229 ft²/);
    expect((await run('plan', site, '--rules', 'two-distance')).stdout).toContain('Rule set: two-distance');
    const rules = file('rules.json', { base: 'small-lawn', name: 'our own' });
    expect((await run('plan', site, '--rules', rules)).stdout).toContain('Rule set: our own');
  });

  it('writes files and what every stage made', async () => {
    const out = join(folder, 'out');
    const { status, stdout } = await run('plan', site, '--out', out, '--formats', 'geojson,csv', '--trace');
    expect(status).toBe(0);
    expect(stdout).toContain(`wrote ${join(out, 'plan.geojson')}`);
    expect(planSchema.parse(JSON.parse(readFileSync(join(out, 'plan.geojson'), 'utf8'))).id).toBe('test-garden');
    expect(readdirSync(out).toSorted()).toEqual(['plan.csv', 'plan.geojson', 'trace']);
    expect(readdirSync(join(out, 'trace')).toSorted()).toEqual(STAGE_IDS.map((id) => `${id}.json`));
    const inset = JSON.parse(readFileSync(join(out, 'trace', '30-offset-boundary.json'), 'utf8'));
    expect(inset[0].outer.every(Number.isFinite)).toBe(true);
  });

  it('explains itself', async () => {
    expect(await run('--help')).toMatchObject({ status: 0, stdout: expect.stringContaining('--elevation-epsg') });
    expect(await run()).toMatchObject({ status: 0, stdout: expect.stringContaining('Exit codes') });
  });

  it.each([
    [['paint', site], 'paint'],
    [['plan'], 'site file'],
    [['plan', site, site], 'site file'],
    [['plan', join(folder, 'nothing.geojson')], 'nothing.geojson'],
    [['plan', site, '--colour'], '--colour'],
    [['plan', site, '--units', 'cubits'], 'cubits'],
    [['plan', site, '--formats', 'wav'], 'wav'],
    [['plan', site, '--crs', 'EPSG:1'], 'EPSG:1'],
    [['plan', site, '--elevation', 'nothing.tif'], 'nothing.tif'],
    [['plan', site, '--rules', 'nothing.json'], 'nothing.json'],
    [['plan', site, '--out', join(site, 'plans')], 'cannot be made'],
    [['plan', site, '--limit-s', 'soon'], '--limit-s "soon"'],
  ])('says in one line what is wrong with %j', async (args, quoted) => {
    const { status, stdout, stderr } = await run(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(quoted);
    expect(stderr).not.toContain('    at ');
  });

  it('lists what is wrong with a site it refuses', async () => {
    const { status, stderr } = await run(
      'plan',
      file('bad.geojson', { type: 'FeatureCollection', features: [7, null] }),
    );
    expect(status).toBe(3);
    expect(stderr).toContain('/features/0: a feature is an object, this is the number 7');
    expect(stderr).toContain('/features/1:');
    expect((await run('plan', file('half.geojson', '{"type": '))).status).toBe(3);
  });

  it('gives up a plan that takes longer than allowed', async () => {
    const { status, stdout, stderr } = await run('plan', site, '--limit-s', '0.001');
    expect([status, stdout]).toEqual([3, '']);
    expect(stderr).toContain('planning took longer than 0.001 s');
    expect(stderr).toContain('--limit-s');
  });

  it('is a program of its own', () => {
    const command = ['--import', 'tsx', 'api/cli.ts', 'plan', site];
    const { status, stdout } = spawnSync(process.execPath, command, { cwd: root, encoding: 'utf8' });
    expect(status).toBe(0);
    expect(stdout).toContain('Audit: passed');
  });

  it('tells by its exit code that a plan says stop', async () => {
    const nothing = await run('plan', file('empty.geojson', { type: 'FeatureCollection', features: [] }));
    expect(nothing.status).toBe(4);
    expect(nothing.stdout).toContain('STOP');
  });
});
