import { expect, test } from 'vitest';
import { kml } from '#geo-core/formats/kml.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal, layersByGdal, readByGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();
const kinds = [...new Set(plan.features.map(({ properties }) => properties.kind))];

test.skipIf(!hasGdal)(
  'GDAL (where it is installed) finds one folder a kind and in it every feature at its place',
  () => {
    const bytes = kml.write(plan);
    expect(layersByGdal(bytes, 'kml').toSorted()).toEqual(kinds.toSorted());
    for (const kind of kinds) {
      const given = plan.features.filter(({ properties }) => properties.kind === kind);
      const read = readByGdal(bytes, 'kml', kind, ['-dim', 'XY']);
      expect(read.map(({ geometry }) => geometry)).toEqual(given.map(({ geometry }) => geometry));
      expect(read.map(({ properties }) => properties.id)).toEqual(given.map(({ id }) => id));
    }
  },
);

test('text of the site cannot become mark-up', () => {
  const written = String(kml.write({ ...plan, name: '</name><Placemark>&' }));
  expect(written).toContain('<name>&lt;/name&gt;&lt;Placemark&gt;&amp;</name>');
});
