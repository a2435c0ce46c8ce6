import type { Loop } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { parameterOnSegment, pointSegmentM } from '#geo-core/plane/segment.ts';
import { trackOf } from '#geo-core/plane/straight-along.ts';
import type { Spot } from './rate-places.ts';

const EVERY_M = 1;

/**
 * Places to look at: about every metre of every loop, from the middle of its long edges and of what lies between them outwards, so that
 * it does not matter where the ring starts, and the middle of what an edge long enough for the station leaves open.
 */
export function spotsOnLoops(loops: readonly Loop[], rules: Rules): Spot[] {
  const { stationStraightBeforeM: beforeM, stationStraightBehindM: behindM } = rules;
  return loops.flatMap((loop) => {
    const { chainageM, lengthM } = trackOf(loop.ring);
    const along: number[] = [];
    for (const [fromM, toM] of stretchesOf(chainageM)) {
      const count = Math.ceil((toM - fromM) / EVERY_M);
      for (let k = 0; k < count; k++) along.push((fromM + ((k + 0.5) * (toM - fromM)) / count) % lengthM);
    }
    for (let k = 0; k + 1 < chainageM.length; k++) {
      const spareM = chainageM[k + 1] - chainageM[k] - beforeM - behindM;
      if (spareM >= 0) along.push(chainageM[k] + beforeM + spareM / 2);
    }
    return along.toSorted((a, b) => a - b).map((alongM) => ({ loop, alongM }));
  });
}

/** The edges of a ring longer than the step, and the stretches of shorter ones between them: from and to, metres along the ring and on past its end. */
function stretchesOf(chainageM: Float64Array): (readonly [fromM: number, toM: number])[] {
  const [count, lengthM] = [chainageM.length - 1, chainageM[chainageM.length - 1]];
  const isLong = (k: number): boolean => chainageM[k + 1] - chainageM[k] > EVERY_M;
  const long = Array.from({ length: count }, (_, k) => k).filter(isLong);
  if (long.length === 0) return [[0, lengthM]];
  return long.flatMap((edge, i) => {
    const [endM, next] = [chainageM[edge + 1], long[(i + 1) % long.length]];
    const nextM = i + 1 < long.length ? chainageM[next] : chainageM[next] + lengthM;
    const own = [chainageM[edge], endM] as const;
    return nextM > endM ? [own, [endM, nextM] as const] : [own];
  });
}

/** The place of the loops nearest to a point; undefined without loops. */
export function nearestSpot(loops: readonly Loop[], { x, y }: PlanePoint): Spot | undefined {
  let nearest: Spot | undefined;
  let leastM = Number.POSITIVE_INFINITY;
  for (const loop of loops) {
    const { line, chainageM } = trackOf(loop.ring);
    for (let k = 0; k + 1 < chainageM.length; k++) {
      const ax = line[2 * k];
      const ay = line[2 * k + 1];
      const bx = line[2 * k + 2];
      const by = line[2 * k + 3];
      const awayM = pointSegmentM(x, y, ax, ay, bx, by);
      if (awayM >= leastM) continue;
      leastM = awayM;
      const t = parameterOnSegment(x, y, ax, ay, bx, by);
      nearest = { loop, alongM: chainageM[k] + t * distanceM(ax, ay, bx, by) };
    }
  }
  return nearest;
}
