import type { Beyond, PositionInput } from '#geo-core/model/site.ts';
import { isSamePlace, rounded } from './positions.ts';
import {
  freshKey,
  kindOf,
  type SiteDocument,
  type SiteFeature,
  withFeature,
  withoutFeatures,
} from './site-document.ts';

type Side = readonly [PositionInput, PositionInput];

/** Says what lies beyond one side of a lawn; null takes the word back. */
export function markEdge(document: SiteDocument, side: Side, beyond: Beyond | null): SiteDocument {
  const marked = edgeAlong(document, side);
  if (beyond === null) return marked === undefined ? document : withoutFeatures(document, [marked.key]);
  return withFeature(document, {
    ...(marked ?? { key: freshKey(document), geometry: { type: 'LineString', coordinates: side.map(rounded) } }),
    properties: { ...marked?.properties, kind: 'edge', beyond },
  });
}

/** The `edge` feature that runs along just this side, either way. */
export function edgeAlong({ features }: SiteDocument, [a, b]: Side): SiteFeature | undefined {
  return features.find((feature) => {
    if (kindOf(feature) !== 'edge' || feature.geometry.type !== 'LineString') return false;
    const [from, to, ...more] = feature.geometry.coordinates;
    if (more.length > 0) return false;
    return (isSamePlace(from, a) && isSamePlace(to, b)) || (isSamePlace(from, b) && isSamePlace(to, a));
  });
}
