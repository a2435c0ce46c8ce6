import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { contourRings } from '#geo-core/terrain/contour-rings.ts';
import { fieldMap } from './field-map.ts';

/**
 * Ground inside a wire where its field, for each ampere at the height of the sensor, is under `fieldMinNt`: a contour of the field
 * map (`fieldMap`: a share of 0.03 of the exact sum at most, cells of a 200th of the ground), clipped to the ground.
 */
export function weakField(line: Polyline, ground: readonly Polygon[], rules: Rules, gridM: number): Polygon[] {
  const map = fieldMap([line], ground, { heightM: rules.sensorHeightM });
  if (map === undefined) return [];
  const { westM, southM, cellM, columns, rows, fieldNt } = map;
  const rings = contourRings(
    (column, row) => -fieldNt[(rows - 1 - row) * columns + column],
    columns,
    rows,
    -rules.fieldMinNt,
  ).map((ring) =>
    ring.map((value, i) => (i % 2 === 0 ? westM + (value + 0.5) * cellM : southM + (value + rows - 0.5) * cellM)),
  );
  return polygonsFromRings(kernel().intersection(rings, ringsOf(ground), gridM));
}
