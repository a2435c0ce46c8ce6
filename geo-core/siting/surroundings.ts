import type { EdgedPolygon } from '#geo-core/model/plane-plan.ts';
import type { PlaneFeature, PlaneShape, PlaneSite } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { segmentTree, someSegment } from '#geo-core/plane/segment-tree.ts';
import { segmentsOf } from '#geo-core/plane/shape-segments.ts';

/** What stands round a place, by distance in metres; each is told up to the given reach, infinity beyond. */
export type Surroundings = {
  roadM(x: number, y: number): number;
  /** To a building, wall, hedge or fence. */
  shelterM(x: number, y: number): number;
  /** To the wall of a bedroom. */
  bedroomM(x: number, y: number): number;
  /** To the edge of the parcel. */
  neighbourM(x: number, y: number): number;
  /** To a lawn edge with a drop or water beyond; infinity where there is none on the whole lawn. */
  hazardM(x: number, y: number): number;
  /** To the nearest sprinkler's throw: negative inside it, with the throw's radius where known. */
  sprinkler(x: number, y: number): { readonly clearM: number; readonly radiusM: number };
};

export const ROAD_REACH_M = 15;
export const SHELTER_REACH_M = 1.5;
export const BEDROOM_REACH_M = 6;
export const NEIGHBOUR_REACH_M = 2;
const HAZARDS = ['drop', 'water'];
const SHELTERING: readonly PlaneFeature['beyond'][] = ['wall', 'hedge', 'fence'];

export function surroundings(
  { features }: PlaneSite,
  edges: readonly EdgedPolygon[],
  hazardReachM: number,
): Surroundings {
  const roads = features.filter(({ kind, beyond }) => kind === 'road' || (kind === 'edge' && beyond === 'road'));
  const shelters = features.filter(
    ({ kind, beyond }) => kind === 'building' || (kind === 'edge' && SHELTERING.includes(beyond)),
  );
  const throws = features.filter(({ kind }) => kind === 'sprinkler');
  const parcels = features.filter(({ kind }) => kind === 'parcel');
  return {
    roadM: nearestFeature(roads, ROAD_REACH_M),
    shelterM: nearestFeature(shelters, SHELTER_REACH_M),
    bedroomM: nearestFeature(
      features.filter(({ bedroom }) => bedroom === true),
      BEDROOM_REACH_M,
    ),
    neighbourM: nearestFeature(parcels, NEIGHBOUR_REACH_M),
    hazardM: hazardFinder(edges, hazardReachM),
    sprinkler(x, y) {
      let nearest = { clearM: Number.POSITIVE_INFINITY, radiusM: 0 };
      for (const { shape, radiusM = 0 } of throws) {
        const clearM = clearOfThrowM(shape, radiusM, x, y);
        if (clearM < nearest.clearM) nearest = { clearM, radiusM };
      }
      return nearest;
    },
  };
}

/** Distance to the nearest outline of the features; half the width off a line that has one. */
function nearestFeature(features: readonly PlaneFeature[], reachM: number): (x: number, y: number) => number {
  const halves: number[] = [];
  const segments: number[] = [];
  for (const { shape, widthM = 0 } of features) {
    const halfM = shape.type === 'line' ? widthM / 2 : 0;
    const own = segmentsOf(shape);
    for (let i = 0; i < own.length; i++) segments.push(own[i]);
    for (let i = 0; i < own.length; i += 4) halves.push(halfM);
  }
  return nearestWithin(segments, halves, reachM);
}

/** Beyond the reach the reach itself is told, so that a margin can be. */
function hazardFinder(edges: readonly EdgedPolygon[], reachM: number): (x: number, y: number) => number {
  const segments: number[] = [];
  for (const { outer, holes } of edges) {
    for (const { ring, beyond } of [outer, ...holes]) {
      for (let i = 0; i < ring.length; i += 2) {
        if (!HAZARDS.includes(beyond[i / 2])) continue;
        const next = (i + 2) % ring.length;
        segments.push(ring[i], ring[i + 1], ring[next], ring[next + 1]);
      }
    }
  }
  if (segments.length === 0) return () => Number.POSITIVE_INFINITY;
  const nearest = nearestWithin(segments, [], 2 * reachM);
  return (x, y) => Math.min(nearest(x, y), 2 * reachM);
}

function nearestWithin(
  segments: readonly number[],
  halves: readonly number[],
  reachM: number,
): (x: number, y: number) => number {
  if (segments.length === 0) return () => Number.POSITIVE_INFINITY;
  const widestM = halves.reduce((widest, halfM) => Math.max(widest, halfM), 0);
  const tree = segmentTree(new Float64Array(segments));
  const { at } = tree;
  const boxM = reachM + widestM;
  return (x, y) => {
    let leastM = Number.POSITIVE_INFINITY;
    someSegment(tree, x - boxM, y - boxM, x + boxM, y + boxM, (segment) => {
      const i = 4 * segment;
      const awayM = pointSegmentM(x, y, at[i], at[i + 1], at[i + 2], at[i + 3]) - (halves[segment] ?? 0);
      if (awayM <= reachM) leastM = Math.min(leastM, Math.max(0, awayM));
      return false;
    });
    return leastM;
  };
}

function clearOfThrowM(shape: PlaneShape, radiusM: number, x: number, y: number): number {
  if (shape.type === 'point') {
    return Math.min(...shape.points.map((point) => distanceM(point.x, point.y, x, y) - radiusM));
  }
  const segments = segmentsOf(shape);
  let edgeM = Number.POSITIVE_INFINITY;
  for (let i = 0; i < segments.length; i += 4) {
    edgeM = Math.min(edgeM, pointSegmentM(x, y, segments[i], segments[i + 1], segments[i + 2], segments[i + 3]));
  }
  const inside = shape.type === 'area' && shape.polygons.some((polygon) => pointInPolygon(polygon, x, y));
  return inside ? -edgeM : edgeM;
}
