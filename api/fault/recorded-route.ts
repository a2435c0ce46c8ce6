import { recordedRouteSchema, recordedSpliceSchema } from '#api/contract/fault-schema.ts';
import type { RecordedRoute } from '#geo-core/index.ts';

/** The route of a signal unit among the features of a plan, with its splices; undefined where it is not there or not whole. */
export function recordedRoute(features: readonly unknown[], signalUnit: number): RecordedRoute | undefined {
  for (const feature of features) {
    const route = recordedRouteSchema.safeParse(feature);
    if (!route.success || route.data.properties.signalUnit !== signalUnit) continue;
    const { geometry, properties } = route.data;
    const count = geometry.type === 'LineString' ? geometry.coordinates.length : geometry.coordinates.flat().length;
    if (count !== properties.chainageM.length) return undefined;
    const { lengthM } = properties;
    const splices = features.flatMap((each) => {
      const splice = recordedSpliceSchema.safeParse(each);
      if (!splice.success || splice.data.properties.signalUnit !== signalUnit) return [];
      const { chainageM } = splice.data.properties;
      return chainageM > 0 && chainageM < lengthM ? [{ id: splice.data.id, chainageM }] : [];
    });
    return { ...properties, geometry, splices };
  }
  return undefined;
}
