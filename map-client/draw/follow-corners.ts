import type { PositionInput } from '#geo-core/model/site.ts';
import { isSamePlace, rounded } from './positions.ts';
import { kindOf, type SiteDocument } from './site-document.ts';

/**
 * Edges stay with the corners that they were marked along: a corner moved takes the ends of its edges with it, a corner
 * added within a side is added within the edge.
 */
export function followCorners(
  document: SiteDocument,
  before: readonly PositionInput[],
  after: readonly PositionInput[],
): SiteDocument {
  const moved = (position: PositionInput): PositionInput => {
    const index = before.findIndex((corner) => isSamePlace(corner, position));
    return index >= 0 && before.length === after.length ? after[index] : position;
  };
  const features = document.features.map((feature) => {
    if (kindOf(feature) !== 'edge' || feature.geometry.type !== 'LineString') return feature;
    const line = feature.geometry.coordinates;
    const next = after.length > before.length ? withNewCorners(line, after) : line.map(moved);
    const isSame = next.length === line.length && next.every((position, i) => isSamePlace(position, line[i]));
    return isSame ? feature : { ...feature, geometry: { ...feature.geometry, coordinates: next.map(rounded) } };
  });
  return { ...document, features };
}

/** Corners of the ring that now stand between two positions of the line which were neighbours, at most one for each side. */
function withNewCorners(line: readonly PositionInput[], ring: readonly PositionInput[]): readonly PositionInput[] {
  const at = (i: number) => ring[(i + ring.length) % ring.length];
  return line.flatMap((position, i) => {
    const next = line[i + 1];
    const index = ring.findIndex((corner) => isSamePlace(corner, position));
    if (next === undefined || index < 0) return [position];
    for (const step of [1, -1]) if (isSamePlace(at(index + 2 * step), next)) return [position, at(index + step)];
    return [position];
  });
}
