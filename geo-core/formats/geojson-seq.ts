import type { PlanFormat } from './plan-format.ts';

const RECORD_SEPARATOR = '\u001e';

/** The features of the plan one by one, so that long lists can be read as a stream (RFC 8142, section 2). */
export const geojsonSeq: PlanFormat = {
  id: 'geojson-seq',
  mediaType: 'application/geo+json-seq',
  extension: 'geojsons',
  title: 'GeoJSON text sequence: one feature a record',
  write: (plan) => plan.features.map((feature) => `${RECORD_SEPARATOR}${JSON.stringify(feature)}\n`).join(''),
};
