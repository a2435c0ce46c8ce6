import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { garden } from '../support/garden.ts';
import { useKeptService } from '../support/kept-service.ts';

/** The forms that features come in, each read back by GDAL. */
const service = useKeptService();
const folder = mkdtempSync(join(tmpdir(), 'loopwright-forms-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
beforeAll(async () => {
  await service().addSite({ ...garden(), name: '=1+1, "quoted"' });
});

const hasGdal = spawnSync('ogrinfo', ['--version']).error === undefined;

/** Without GDAL on the machine nothing reads the files back; `.ci/run` installs it. */
describe.skipIf(!hasGdal)('files of features', () => {
  const FORMS = [
    ['json', 'application/geo+json', 'geojson'],
    ['jsonseq', 'application/geo+json-seq', 'geojsons'],
    ['fgb', 'application/flatgeobuf', 'fgb'],
    ['csv', 'text/csv; charset=utf-8; header=present', 'csv'],
  ] as const;

  it.each(FORMS)('as %s (%s) hold in GDAL what the service holds', async (form, mediaType, extension) => {
    const answer = await service().request(`/ogc/collections/zone/items?f=${form}`);
    expect(answer.headers.get('content-type')).toBe(mediaType);
    const file = join(folder, `zone.${extension}`);
    writeFileSync(file, new Uint8Array(await answer.arrayBuffer()));
    const out = join(folder, `${form}.json`);
    const options = form === 'csv' ? ['-oo', 'GEOM_POSSIBLE_NAMES=geometry', '-oo', 'AUTODETECT_TYPE=YES'] : [];
    const { status, stderr } = spawnSync(
      'ogr2ogr',
      ['-f', 'GeoJSON', '-lco', 'COORDINATE_PRECISION=12', out, file, ...options],
      { encoding: 'utf8' },
    );
    expect([status, stderr]).toEqual([0, '']);
    const { default: read } = await import(out, { with: { type: 'json' } });
    const wanted = (await service().json('/ogc/collections/zone/items')).features as unknown as {
      properties: Record<string, unknown>;
      geometry: object;
    }[];
    expect(read.features.length).toBe(wanted.length);
    const rounded = JSON.stringify(read.features[0].geometry);
    expect(rounded).toBe(JSON.stringify(wanted[0].geometry));
    expect(read.features[0].properties).toMatchObject({
      site: 'test-garden',
      connectivity: 'reachable',
      areaM2: wanted[0].properties.areaM2,
    });
  });

  it('as FlatGeobuf may be empty, and carry its coordinate system', async () => {
    const empty = join(folder, 'empty.fgb');
    writeFileSync(
      empty,
      new Uint8Array(await (await service().request('/ogc/collections/bay/items?f=fgb')).arrayBuffer()),
    );
    expect(spawnSync('ogrinfo', ['-so', '-al', empty], { encoding: 'utf8' }).stdout).toContain('Feature Count: 0');
    const metres = join(folder, 'metres.fgb');
    const crs = 'http://www.opengis.net/def/crs/EPSG/0/25832';
    writeFileSync(
      metres,
      new Uint8Array(await (await service().request(`/ogc/collections/zone/items?f=fgb&crs=${crs}`)).arrayBuffer()),
    );
    expect(spawnSync('ogrinfo', ['-so', '-al', metres], { encoding: 'utf8' }).stdout).toContain('ID["EPSG",25832]');
  });
});

describe('files for spreadsheets', () => {
  it('run nothing that was typed as a name', async () => {
    const text = await (await service().request('/ogc/collections/sites/items?f=csv')).text();
    expect(text).toContain('"\'=1+1, ""quoted"""');
  });
});

describe('pages', () => {
  it.each([
    '',
    '/conformance',
    '/api',
    '/collections',
    '/collections/zone',
    '/collections/zone/items',
    '/collections/zone/items/test-garden.zone-1',
    '/collections/zone/queryables',
    '/collections/zone/schema',
  ])('%s is a page for people, without scripts', async (path) => {
    const answer = await service().request(`/ogc${path}`, { headers: { accept: 'text/html' } });
    expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/html; charset=utf-8']);
    const html = await answer.text();
    expect(html).toMatch(/^<!doctype html>/);
    expect(html).not.toMatch(/<script|style="|\son\w+="/);
  });

  it('show features on a map, to scale, and no text as markup', async () => {
    const html = await (await service().request('/ogc/collections/zone/items?f=html')).text();
    expect(html).toMatch(/<svg class="map"[^>]*>.*<path class="polygon" d="M[\d. LMZ]+"/s);
    expect(html).toMatch(/<text[^>]*>\d+ m<\/text>/);
    const id = await service().addSite({ ...garden(), id: 'odd', name: '<script>alert(1)</script>' });
    const odd = await (await service().request(`/ogc/collections/sites/items/${id}?f=html`)).text();
    expect(odd).toContain('&#60;script&#62;');
    expect(odd).not.toContain('<script>');
  });
});
