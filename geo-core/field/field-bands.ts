import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { fieldMap } from './field-map.ts';
import { fieldOver } from './field-over.ts';

/** Ground where the field is at least so strong, nT at 1 A. */
export type FieldBand = { readonly fromNt: number; readonly polygons: readonly Polygon[] };

/** Doubling steps: far from a straight wire each is half as far away as the one before. */
const LEVELS_NT = [10, 20, 40, 80, 160, 320, 640, 1280];
/** 100 cells across a square lawn: a drawing needs no more. */
const CELLS_MAX = 10_000;

/** A band this much of the one before shades nothing apart. */
const ALIKE = 0.98;

/**
 * The field of wires over ground as a drawing shades it: every band lies within the one before. Bands without ground are left out, and
 * weak ones that hold all that the next one holds.
 */
export function fieldBands(
  lines: readonly Polyline[],
  ground: readonly Polygon[],
  rules: Rules,
  gridM: number,
): FieldBand[] {
  const map = fieldMap(lines, ground, { heightM: rules.sensorHeightM, cellsMax: CELLS_MAX });
  if (map === undefined) return [];
  const bands = LEVELS_NT.map((fromNt) => ({ fromNt, polygons: fieldOver(map, fromNt, ground, gridM) }));
  const areasM2 = bands.map(({ polygons }) => totalAreaM2(polygons));
  return bands.filter((_, i) => areasM2[i] > 0 && (i + 1 === bands.length || areasM2[i + 1] < ALIKE * areasM2[i]));
}
