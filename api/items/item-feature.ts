import type { Collection } from '#api/collections/collections.ts';
import { type CrsWay, geometryIn } from '#api/collections/coordinate-systems.ts';
import type { KeptFeature } from '#api/store/features.ts';

/** What a feature says to the outside: every declared property, null where it says nothing, then whatever else was given. */
export function itemProperties(
  { fields }: Collection,
  { siteId, updated, properties }: KeptFeature,
): Record<string, unknown> {
  const said: Record<string, unknown> = Object.fromEntries(Object.keys(fields).map((name) => [name, null]));
  Object.assign(said, properties);
  if ('site' in fields) said.site = siteId;
  if ('updated' in fields) said.updated = updated;
  return said;
}

/** A kept feature as GeoJSON in a coordinate system. */
export function itemFeature(collection: Collection, feature: KeptFeature, way: CrsWay) {
  return {
    type: 'Feature' as const,
    id: feature.id,
    geometry: geometryIn(way, feature.geometry),
    properties: itemProperties(collection, feature),
  };
}

export type ItemFeature = ReturnType<typeof itemFeature>;
