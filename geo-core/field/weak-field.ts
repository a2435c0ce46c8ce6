import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { fieldMap } from './field-map.ts';
import { fieldOver } from './field-over.ts';

/**
 * Ground inside a wire where its field, for each ampere at the height of the sensor, is under `fieldMinNt`: a contour of the field
 * map (cells of a 200th of the ground), clipped to the ground.
 */
export function weakField(line: Polyline, ground: readonly Polygon[], rules: Rules, gridM: number): Polygon[] {
  const map = fieldMap([line], ground, { heightM: rules.sensorHeightM });
  return map === undefined ? [] : fieldOver(map, rules.fieldMinNt, ground, gridM, true);
}
