import { expect, test } from 'vitest';
import { gpx } from '#geo-core/formats/gpx.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal, readByGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();

test.skipIf(!hasGdal)('GDAL (where it is installed) reads the wire as a route in laying order', () => {
  const given = plan.features.filter(({ properties }) => properties.kind === 'route');
  const read = readByGdal(gpx.write(plan), 'gpx', 'routes');
  expect(read.map(({ geometry }) => positionsOf(geometry))).toEqual(given.map(({ geometry }) => positionsOf(geometry)));
});

test.skipIf(!hasGdal)(
  'GDAL (where it is installed) reads stations, pegs and splices as waypoints with their chainage',
  () => {
    const given = plan.features.filter(({ properties }) => ['station', 'peg', 'splice'].includes(properties.kind));
    const read = readByGdal(gpx.write(plan), 'gpx', 'waypoints');
    expect(read.map(({ geometry }) => geometry)).toEqual(given.map(({ geometry }) => geometry));
    read.forEach(({ properties }, i) => {
      const { chainageM } = given[i].properties as { chainageM: number };
      expect(String(properties.name)).toContain(`${chainageM.toFixed(2)} m`);
    });
  },
);

test('a place on 180 degrees east is written as 180 degrees west, as the schema wants it (longitude below 180)', () => {
  const peg = { kind: 'peg', chainageM: 1, signalUnit: 1, pass: 'trial' } as const;
  const written = gpx.write({
    ...plan,
    features: [{ type: 'Feature', id: 'peg-1', properties: peg, geometry: { type: 'Point', coordinates: [180, -16] } }],
  });
  expect(written).toContain('lon="-180"');
});
