import { featureCollection, polygon, union } from '@turf/turf';
import type { SiteGeometryInput } from '#geo-core/model/site.ts';
import { rounded } from './positions.ts';

type Area = Extract<SiteGeometryInput, { type: 'Polygon' }>;

/** Two areas as one; undefined where they do not touch. Degrees serve: only which side of a line a corner lies on is asked. */
export function mergeAreas(a: Area, b: Area): Area | undefined {
  const [first, second] = [a, b].map(({ coordinates }) => polygon(coordinates.map((ring) => ring.map(rounded))));
  const merged = union(featureCollection([first, second]))?.geometry;
  return merged?.type === 'Polygon'
    ? { type: 'Polygon', coordinates: merged.coordinates.map((ring) => ring.map(rounded)) }
    : undefined;
}
