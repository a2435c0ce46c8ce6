import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { encodePlanTile, mvt, planTile } from '#geo-core/formats/mvt.ts';
import { tileAt } from '#geo-core/formats/tile-grid.ts';
import type { Plan, PlanGeometry } from '#geo-core/model/plan.ts';
import { polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();
const onAntimeridian = goldenPlan(179.9999, -16.8);

/** All features of the layers that GDAL finds in the tile file, in longitude and latitude, by layer. */
function readByGdal(of: Plan, layer: string): { properties: Record<string, unknown>; geometry: PlanGeometry }[] {
  const folder = mkdtempSync(join(tmpdir(), 'tile-'));
  try {
    const { z, column, row } = planTile(of);
    const tile = join(folder, String(z), String(column), `${row}.mvt`);
    mkdirSync(join(folder, String(z), String(column)), { recursive: true });
    writeFileSync(tile, mvt.write(of));
    const args = ['-f', 'GeoJSON', '-t_srs', 'EPSG:4326', join(folder, 'out.json'), tile, layer, '-oo', 'CLIP=NO'];
    execFileSync('ogr2ogr', args, { stdio: 'ignore' });
    return JSON.parse(readFileSync(join(folder, 'out.json'), 'utf8')).features;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

test('the messages are those of the specification: version, name, point, keys, values, extent', () => {
  const [lonDeg, latDeg] = [0.5, 0];
  const bytes = encodePlanTile(
    {
      features: [
        {
          type: 'Feature',
          id: 'peg-1',
          geometry: { type: 'Point', coordinates: [lonDeg, latDeg] },
          properties: { kind: 'peg', chainageM: 1, signalUnit: 1, pass: 'trial' },
        },
      ],
    },
    { z: 0, column: 0, row: 0 },
  );
  const hex = Buffer.from(bytes).toString('hex');
  expect(hex.startsWith(`1a${(bytes.length - 2).toString(16)}`)).toBe(true);
  expect(hex).toContain('7802');
  expect(hex).toContain('0a03706567');
  // MoveTo once; x = 4096 x 180.5 / 360 = 2054 and y = 2048 units, zigzag 4108 and 4096 as varints.
  expect(hex).toContain('1801' + '22' + '05' + '09' + '8c20' + '8020');
  expect(hex).toContain(`1a04${Buffer.from('kind').toString('hex')}`);
  expect(hex).toContain(`22050a03${Buffer.from('peg').toString('hex')}`);
  expect(hex).toContain('2209' + '19' + '000000000000f03f');
  expect(hex).toContain('288020');
});

test('equal values stand once in a layer', () => {
  const hex = Buffer.from(mvt.write(plan)).toString('hex');
  expect(hex.split(Buffer.from('trial').toString('hex'))).toHaveLength(2);
});

test('the tile is the one of the middle at the deepest zoom that is no smaller than the plan', () => {
  for (const each of [plan, onAntimeridian]) {
    const { z, column, row } = planTile(each);
    const [west, south, east, north] = each.bbox ?? [0, 0, 0, 0];
    const turned = east < west ? east + 360 : east;
    expect(z).toBe(20);
    expect(tileAt((west + turned) / 2, (south + north) / 2, z)).toEqual({ z, column, row });
    expect(turned - west).toBeLessThan(360 / 2 ** z);
  }
});

test('an empty plan is an empty tile', () => {
  const { bbox: _, ...empty } = { ...plan, features: [] };
  expect(mvt.write(empty)).toEqual(new Uint8Array());
  expect(planTile(empty)).toEqual({ z: 0, column: 0, row: 0 });
});

test.skipIf(!hasGdal)('GDAL (where it is installed) reads every layer at its place, to a unit of the tile', () => {
  const unitDeg = 360 / 2 ** planTile(plan).z / 4096;
  for (const kind of new Set(plan.features.map((feature) => feature.properties.kind))) {
    const given = plan.features.filter((feature) => feature.properties.kind === kind);
    const read = readByGdal(plan, kind);
    expect(read.map((feature) => feature.properties.id)).toEqual(given.map((feature) => feature.id));
    read.forEach((feature, i) => {
      const places = positionsOf(given[i].geometry);
      for (const [lonDeg, latDeg] of positionsOf(feature.geometry)) {
        const isGiven = places.some(([x, y]) => Math.abs(x - lonDeg) <= unitDeg && Math.abs(y - latDeg) <= unitDeg);
        expect(isGiven).toBe(true);
      }
    });
  }
});

test.skipIf(!hasGdal)('GDAL (where it is installed) reads holes as holes', () => {
  const [area] = readByGdal(plan, 'working-area');
  expect(polygonsOf(area.geometry).map((rings) => rings.length)).toEqual([2]);
});
