import type { Polygon } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { contourRings } from '#geo-core/terrain/contour-rings.ts';
import type { FieldMap } from './field-map.ts';

/** Ground where the field of a map is over a limit, nT, or with `isUnder` where it is under it: contours, clipped to the ground. */
export function fieldOver(
  { westM, southM, cellM, columns, rows, fieldNt }: FieldMap,
  limitNt: number,
  ground: readonly Polygon[],
  gridM: number,
  isUnder = false,
): Polygon[] {
  const sign = isUnder ? -1 : 1;
  const rings = contourRings(
    (column, row) => sign * fieldNt[(rows - 1 - row) * columns + column],
    columns,
    rows,
    sign * limitNt,
  ).map((ring) =>
    ring.map((value, i) => (i % 2 === 0 ? westM + (value + 0.5) * cellM : southM + (value + rows - 0.5) * cellM)),
  );
  return polygonsFromRings(kernel().intersection(rings, ringsOf(ground), gridM));
}
