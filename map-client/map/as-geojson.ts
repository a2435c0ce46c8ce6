import type { FeatureCollection } from 'geojson';
import type { DrawnSheet } from '../drawing.ts';

/** A sheet for the map library, whose types know no read-only lists. It copies what it is given and changes nothing. */
export function asGeoJson(sheet: DrawnSheet): FeatureCollection {
  return sheet as unknown as FeatureCollection;
}
