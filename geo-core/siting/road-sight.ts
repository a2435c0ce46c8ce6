import type { PlaneFeature, PlaneSite } from '#geo-core/model/site.ts';
import { segmentIndex } from '#geo-core/plane/box-index.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { rayMeets } from '#geo-core/plane/ray-meets.ts';
import { segmentsOf } from '#geo-core/plane/shape-segments.ts';

/** Of the places on roads from which a station could be seen, those that do see it, and the nearest of them. */
export type RoadSight = { readonly seenShare: number; readonly nearestSeenM: number };

/** Farther off nobody looks. Common practice, no source. */
export const SIGHT_REACH_M = 40;
/** People stand on a road every so many metres. */
const EVERY_M = 8;
const MOST_VIEWPOINTS = 200;
/** Eyes of someone who walks by, and the top of a station, metres above the ground. From memory. */
const EYES_M = 1.6;
const STATION_M = 0.4;
/** A house whose height is not given hides what is behind it all the same, metres. */
const LEAST_HOUSE_M = 2.5;
const HIDING: readonly PlaneFeature['kind'][] = ['building', 'obstacle', 'planting', 'edge'];

/**
 * Lines of sight from the roads to a place, on level ground: hidden where something stands across the line that is at least as
 * high as the line is there. Undefined where the site has no road: then nothing is known of who looks.
 */
export function roadSight({ features }: PlaneSite): ((x: number, y: number) => RoadSight) | undefined {
  const viewpoints = features
    .filter(({ kind, beyond }) => kind === 'road' || (kind === 'edge' && beyond === 'road'))
    .flatMap(viewpointsOf);
  if (viewpoints.length === 0) return undefined;
  const stride = Math.ceil(viewpoints.length / MOST_VIEWPOINTS);
  const kept = viewpoints.filter((_, index) => index % stride === 0);
  const segments: number[] = [];
  const heightsM: number[] = [];
  for (const feature of features) {
    const heightM =
      feature.kind === 'building' ? Math.max(feature.heightM ?? 0, LEAST_HOUSE_M) : (feature.heightM ?? 0);
    if (!HIDING.includes(feature.kind) || heightM < STATION_M) continue;
    const own = segmentsOf(feature.shape);
    for (let i = 0; i < own.length; i++) segments.push(own[i]);
    for (let i = 0; i < own.length; i += 4) heightsM.push(heightM);
  }
  const index = segmentIndex(segments);
  const isHidden = (x: number, y: number, vx: number, vy: number): boolean => {
    const near = index?.search(Math.min(x, vx), Math.min(y, vy), Math.max(x, vx), Math.max(y, vy)) ?? [];
    return near.some((segment) => {
      const share = rayMeets(x, y, vx - x, vy - y, segments, segment);
      return share > 0 && share < 1 && heightsM[segment] >= STATION_M + share * (EYES_M - STATION_M);
    });
  };
  return (x, y) => {
    let [near, seen, nearestSeenM] = [0, 0, Number.POSITIVE_INFINITY];
    for (const { x: vx, y: vy } of kept) {
      const awayM = distanceM(x, y, vx, vy);
      if (awayM > SIGHT_REACH_M) continue;
      near++;
      if (isHidden(x, y, vx, vy)) continue;
      seen++;
      nearestSeenM = Math.min(nearestSeenM, awayM);
    }
    return { seenShare: near === 0 ? 0 : seen / near, nearestSeenM };
  };
}

function viewpointsOf({ shape }: PlaneFeature): { readonly x: number; readonly y: number }[] {
  const segments = segmentsOf(shape);
  const points: { readonly x: number; readonly y: number }[] = [];
  for (let i = 0; i < segments.length; i += 4) {
    const [ax, ay, bx, by] = segments.subarray(i, i + 4);
    const count = Math.max(1, Math.min(MOST_VIEWPOINTS, Math.round(distanceM(ax, ay, bx, by) / EVERY_M)));
    for (let k = 0; k < count; k++) {
      const t = (k + 0.5) / count;
      points.push({ x: ax + t * (bx - ax), y: ay + t * (by - ay) });
    }
  }
  return points;
}
