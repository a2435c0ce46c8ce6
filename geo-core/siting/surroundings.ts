import type { PlaneFeature, PlaneShape, PlaneSite } from '#geo-core/model/site.ts';
import { ringSegments, segmentIndex } from '#geo-core/plane/box-index.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointInPolygon, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';

/** What stands round a place, by distance in metres; each is told up to the given reach, infinity beyond. */
export type Surroundings = {
  roadM(x: number, y: number): number;
  /** To a building, wall, hedge or fence. */
  shelterM(x: number, y: number): number;
  /** To the nearest sprinkler's throw: negative inside it, with the throw's radius where known. */
  sprinkler(x: number, y: number): { readonly clearM: number; readonly radiusM: number };
};

export const ROAD_REACH_M = 15;
export const SHELTER_REACH_M = 1.5;
const SHELTERING: readonly PlaneFeature['beyond'][] = ['wall', 'hedge', 'fence'];

export function surroundings({ features }: PlaneSite): Surroundings {
  const roads = features.filter(({ kind, beyond }) => kind === 'road' || (kind === 'edge' && beyond === 'road'));
  const shelters = features.filter(
    ({ kind, beyond }) => kind === 'building' || (kind === 'edge' && SHELTERING.includes(beyond)),
  );
  const throws = features.filter(({ kind }) => kind === 'sprinkler');
  return {
    roadM: nearestWithin(roads, ROAD_REACH_M),
    shelterM: nearestWithin(shelters, SHELTER_REACH_M),
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
function nearestWithin(features: readonly PlaneFeature[], reachM: number): (x: number, y: number) => number {
  if (features.length === 0) return () => Number.POSITIVE_INFINITY;
  const halves: number[] = [];
  const segments: number[] = [];
  for (const { shape, widthM = 0 } of features) {
    const halfM = shape.type === 'line' ? widthM / 2 : 0;
    const own = segmentsOf(shape);
    for (let i = 0; i < own.length; i++) segments.push(own[i]);
    for (let i = 0; i < own.length; i += 4) halves.push(halfM);
  }
  const widestM = halves.reduce((widest, halfM) => Math.max(widest, halfM), 0);
  const index = segmentIndex(segments);
  return (x, y) => {
    let leastM = Number.POSITIVE_INFINITY;
    const boxM = reachM + widestM;
    for (const segment of index?.search(x - boxM, y - boxM, x + boxM, y + boxM) ?? []) {
      const i = 4 * segment;
      const outlineM = pointSegmentM(x, y, segments[i], segments[i + 1], segments[i + 2], segments[i + 3]);
      const awayM = outlineM - halves[segment];
      if (awayM <= reachM) leastM = Math.min(leastM, Math.max(0, awayM));
    }
    return leastM;
  };
}

function segmentsOf(shape: PlaneShape): Float64Array {
  if (shape.type === 'point') return new Float64Array(0);
  if (shape.type === 'area') return ringSegments(ringsOf(shape.polygons));
  const segments = new Float64Array(shape.lines.reduce((sum, line) => sum + Math.max(0, 2 * line.length - 4), 0));
  let k = 0;
  for (const line of shape.lines) {
    for (let i = 0; i + 3 < line.length; i += 2, k += 4) segments.set(line.subarray(i, i + 4), k);
  }
  return segments;
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
