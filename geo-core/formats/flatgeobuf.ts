import type { Plan } from '#geo-core/model/plan.ts';
import { flatProperties } from './flat-properties.ts';
import { flatGeobufLayer } from './flatgeobuf-layer.ts';
import type { PlanFormat } from './plan-format.ts';

const WGS84 = 4326;

/** All features in one layer. */
export const flatgeobuf: PlanFormat = {
  id: 'flatgeobuf',
  mediaType: 'application/flatgeobuf',
  extension: 'fgb',
  title: 'FlatGeobuf: one layer for GIS',
  write: writeFlatGeobuf,
};

function writeFlatGeobuf({ features }: Plan): Uint8Array {
  const { columns, rows } = flatProperties(features);
  const records = features.map(({ geometry }, i) => ({
    geometry,
    properties: Object.fromEntries(columns.map(({ name }, k) => [name, rows[i][k]])),
  }));
  return flatGeobufLayer(columns, records, WGS84);
}
