import { expect, test } from 'vitest';
import { flatgeobuf } from '#geo-core/formats/flatgeobuf.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal, readByGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();

test.skipIf(!hasGdal)(
  'GDAL (where it is installed) reads every feature with its geometry and its figures, bit for bit',
  () => {
    const read = readByGdal(flatgeobuf.write(plan), 'fgb', 'L1', ['-lco', 'COORDINATE_PRECISION=15']);
    expect(read.map(({ properties }) => properties.id)).toEqual(plan.features.map(({ id }) => id));
    read.forEach(({ properties, geometry }, i) => {
      const given = plan.features[i];
      expect(geometry).toEqual(given.geometry);
      for (const [name, value] of Object.entries(given.properties)) {
        const isList = typeof value === 'object' && value !== null;
        const found = properties[isList ? `${name}Json` : name] ?? null;
        // GDAL hands text that is JSON on as JSON.
        expect(typeof found === 'string' && isList ? JSON.parse(found) : found).toEqual(value);
      }
    });
  },
);

test('a plan without features is a file of no features, by the magic bytes of the specification', () => {
  const { bbox: _, ...empty } = { ...plan, features: [] };
  expect([...flatgeobuf.write(empty).slice(0, 8)]).toEqual([0x66, 0x67, 0x62, 3, 0x66, 0x67, 0x62, 0]);
});
