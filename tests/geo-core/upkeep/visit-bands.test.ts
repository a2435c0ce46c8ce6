import { expect, test } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { fieldBands } from '#geo-core/field/field-bands.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { squareVisits, visitBands } from '#geo-core/upkeep/visit-bands.ts';
import { goldenRules, rectangle } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const lawn = { outer: rectangle(0, 0, 20, 10), holes: [] };

test('visits are averaged over squares and shaded where they are more, on the ground only', () => {
  // Cells of 0.1 m, visited once in the west and three times in the east; the north is no mown ground.
  const [columns, rows] = [200, 100];
  const counts = new Uint16Array(columns * rows).map((_, cell) => (cell % columns < columns / 2 ? 1 : 3));
  const wanted = new Uint8Array(columns * rows).map((_, cell) => (cell < (columns * rows) / 2 ? 1 : 0));
  const visits = { westM: 0, southM: 0, cellM: 0.1, columns, rows, counts, wanted };
  const { meanVisits, squareM } = squareVisits(visits);
  expect(squareM).toBeCloseTo(0.6, 12);
  expect(meanVisits[0]).toBe(1);
  expect(meanVisits.at(-1)).toBeNaN();
  const bands = visitBands({ visits }, [lawn], 1e-6);
  const often = bands.find(({ fromShare }) => fromShare === 1.2)?.polygons ?? [];
  expect(often.some((polygon) => pointInPolygon(polygon, 15, 2))).toBe(true);
  expect(often.some((polygon) => pointInPolygon(polygon, 5, 2))).toBe(false);
  for (const { polygons } of bands) expect(totalAreaM2(polygons)).toBeLessThanOrEqual(20 * 5.7);
});

test('without a visit there is nothing to shade', () => {
  const none = new Uint16Array(100);
  const visits = { westM: 0, southM: 0, cellM: 0.1, columns: 10, rows: 10, counts: none, wanted: new Uint8Array(100) };
  expect(visitBands({ visits }, [lawn], 1e-6)).toEqual([]);
});

test('bands of the field lie in each other, twice as strong each, and end where the field is as strong as they say', () => {
  const line = Float64Array.from([...lawn.outer, 0, 0]);
  const bands = fieldBands([line], [lawn], goldenRules, 1e-6);
  // The centre has 89.44 nT (closed form), so the weakest band told apart begins at 80.
  expect(bands[0].fromNt).toBe(80);
  for (let i = 1; i < bands.length; i++) {
    expect(bands[i].fromNt).toBe(2 * bands[i - 1].fromNt);
    expect(totalAreaM2(bands[i].polygons)).toBeLessThan(totalAreaM2(bands[i - 1].polygons));
  }
  const [, second] = bands;
  const inner = second.polygons.flatMap(({ holes }) => holes);
  expect(inner.length).toBeGreaterThan(0);
  for (const hole of inner)
    for (let i = 0; i < hole.length; i += 2)
      expect(
        Math.abs(verticalFieldNt(line, hole[i], hole[i + 1], goldenRules.sensorHeightM) / second.fromNt - 1),
      ).toBeLessThan(0.05);
});
