import type { PlanFormat } from './plan-format.ts';

/** The plan as it is (RFC 7946). */
export const geojson: PlanFormat = {
  id: 'geojson',
  mediaType: 'application/geo+json',
  extension: 'geojson',
  title: 'GeoJSON: the whole plan',
  write: (plan) => `${JSON.stringify(plan)}\n`,
};
