import type { PlanFeature, Position } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { SiteFeatureInput } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { LocalPlaneProjection } from '#geo-core/projection/local-plane.ts';
import type { Wording } from '#geo-core/wording/wording.ts';

type ReferencePoint = {
  readonly letter: 'A' | 'B';
  readonly name: string;
  readonly position: Position;
  readonly x: number;
  readonly y: number;
};
export type References = { readonly a: ReferencePoint; readonly b: ReferencePoint; readonly baseM: number };

/** What a crew measures from. */
type Found = { readonly position: Position; readonly name: string };

/**
 * Two points to measure from: the ends of the longest straight wall, since a wall is there before the wire and its corners are
 * found without instruments; without a building the station and the peg farthest from it. undefined where there is neither.
 */
export function referencePoints(
  features: readonly SiteFeatureInput[],
  planned: readonly PlanFeature[],
  { toPlane }: LocalPlaneProjection,
  wording: Wording,
): References | undefined {
  const found = longestWall(features, toPlane, wording) ?? stationAndPeg(planned, toPlane, wording);
  if (found === undefined) return undefined;
  const [a, b] = (['A', 'B'] as const).map((letter, i) => {
    const { position, name } = found[i];
    return { letter, name, position, ...toPlane(position[0], position[1]) };
  });
  return { a, b, baseM: distanceM(a.x, a.y, b.x, b.y) };
}

type ToPlane = LocalPlaneProjection['toPlane'];

function longestWall(features: readonly SiteFeatureInput[], toPlane: ToPlane, { say }: Wording): Found[] | undefined {
  let best:
    | { readonly lengthM: number; readonly ends: readonly [Position, Position]; readonly name: unknown }
    | undefined;
  for (const { properties, geometry } of features) {
    if (properties?.kind !== 'building' || geometry === null) continue;
    const polygons =
      geometry.type === 'Polygon'
        ? [geometry.coordinates]
        : geometry.type === 'MultiPolygon'
          ? geometry.coordinates
          : [];
    for (const ring of polygons.flat()) {
      for (let i = 0; i + 1 < ring.length; i++) {
        const [from, to] = [toPlane(ring[i][0], ring[i][1]), toPlane(ring[i + 1][0], ring[i + 1][1])];
        const lengthM = distanceM(from.x, from.y, to.x, to.y);
        if (best !== undefined && best.lengthM >= lengthM) continue;
        const end = (k: number): Position => [ring[k][0], ring[k][1]];
        best = { lengthM, ends: [end(i), end(i + 1)], name: properties.name };
      }
    }
  }
  if (best === undefined || best.lengthM === 0) return undefined;
  const name =
    typeof best.name === 'string' ? say('crew.refCorner', { name: best.name }) : say('crew.refCornerUnnamed');
  return best.ends.map((position) => ({ position, name }));
}

function stationAndPeg(planned: readonly PlanFeature[], toPlane: ToPlane, { say }: Wording): Found[] | undefined {
  const station = planned.find(({ properties }) => properties.kind === 'station');
  if (station === undefined) return undefined;
  const [at] = positionsOf(station.geometry);
  const from = toPlane(at[0], at[1]);
  let farthest: { readonly awayM: number; readonly position: Position; readonly number: number } | undefined;
  const pegs = planned.filter(({ properties }) => properties.kind === 'peg' && properties.pass === 'trial');
  for (const [i, { geometry }] of pegs.entries()) {
    const [position] = positionsOf(geometry);
    const { x, y } = toPlane(position[0], position[1]);
    const awayM = distanceM(from.x, from.y, x, y);
    if (farthest === undefined || awayM > farthest.awayM) farthest = { awayM, position, number: i + 1 };
  }
  if (farthest === undefined || farthest.awayM === 0) return undefined;
  return [
    { position: at, name: say('crew.refStation') },
    { position: farthest.position, name: say('crew.refPeg', { n: farthest.number }) },
  ];
}
