import { expect, test } from 'vitest';
import { geopackageFile } from '#api/formats/geopackage-file.ts';
import { layerStyle } from '#api/formats/layer-style.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal, layersByGdal, readByGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();
const kinds = [...new Set(plan.features.map(({ properties }) => properties.kind))];

function bytesOf(given: Plan): Uint8Array {
  const written = geopackageFile.write(given, {});
  if (written instanceof Uint8Array) return written;
  throw new Error('a GeoPackage is bytes');
}

test.skipIf(!hasGdal)(
  'GDAL (where it is installed) finds a layer a kind, each feature bit for bit with its figures, and the styles',
  () => {
    const bytes = bytesOf(plan);
    expect(layersByGdal(bytes, 'gpkg').toSorted()).toEqual([...kinds, 'layer_styles'].toSorted());
    for (const kind of kinds) {
      const given = plan.features.filter(({ properties }) => properties.kind === kind);
      const read = readByGdal(bytes, 'gpkg', kind, ['-lco', 'COORDINATE_PRECISION=15']);
      const isMulti = given.some(({ geometry }) => geometry.type.startsWith('Multi'));
      expect(read.map(({ geometry }) => geometry.coordinates)).toEqual(
        given.map(({ geometry }) =>
          isMulti && !geometry.type.startsWith('Multi') ? [geometry.coordinates] : geometry.coordinates,
        ),
      );
      read.forEach(({ properties }, i) => {
        expect(properties.id).toBe(given[i].id);
        for (const [name, value] of Object.entries(given[i].properties)) {
          if (typeof value !== 'object') expect([name, properties[name] ?? null]).toEqual([name, value]);
        }
      });
    }
    const styles = readByGdal(bytes, 'gpkg', 'layer_styles').map(({ properties }) => properties);
    expect(styles.map(({ f_table_name }) => f_table_name).toSorted()).toEqual(kinds.toSorted());
    for (const { styleSLD, styleQML, useAsDefault } of styles) {
      expect(String(styleSLD)).toContain('http://www.opengis.net/sld');
      expect(String(styleQML)).toContain('renderer-v2');
      expect(Number(useAsDefault)).toBe(1);
    }
  },
);

test('the same plan gives the same bytes, and one without features a file without layers of features', () => {
  expect(bytesOf(plan)).toEqual(bytesOf(structuredClone(plan)));
  const { bbox: _, ...empty } = { ...plan, features: [] };
  expect(new TextDecoder().decode(bytesOf(empty).subarray(0, 15))).toBe('SQLite format 3');
});

test('styles draw points, lines and areas in the colours of their kind', () => {
  expect(layerStyle('route', 'line').qml).toContain('value="31,30,26,255"');
  expect(layerStyle('zone', 'area').sld).toContain('<CssParameter name="fill">#b0d0a0</CssParameter>');
  expect(layerStyle('peg', 'point').sld).toContain('<WellKnownName>circle</WellKnownName>');
});
