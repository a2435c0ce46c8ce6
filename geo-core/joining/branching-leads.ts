import { type Chain, chainFrom, nearestPiece, shortestLeg } from '#geo-core/plane/chain.ts';
import { fermatLengthM, fermatPoint } from '#geo-core/plane/fermat-point.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { parameterOnSegment } from '#geo-core/plane/segment.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import type { ApartM } from './least-tree.ts';

/**
 * Wire that joins some loops and touches each of them once: a tree of straight legs between points. The first points are the places on
 * the loops, in the order of `loops`; the others are bends and branch points.
 */
export type Joint = {
  readonly loops: readonly number[];
  /** Flat x, y. */
  readonly points: Float64Array;
  readonly legs: readonly (readonly [number, number])[];
  readonly lengthM: number;
  /** The edge of its ring that each place is on. */
  readonly edges: readonly number[];
};

/** A joint that saves less than this against plain leads is not looked at any further, metres. */
const LEAST_SAVING_M = 0.005;
const MOST_ROUNDS = 400;
const SETTLED_M = 1e-7;
/** Every so many rounds one looks whether a joint will ever be short enough: what is missing may not be this many times the last gain. */
const LOOK_ROUNDS = 4;
const LOOK_AHEAD = 4;

/**
 * All branching joints worth having between loops, `spanM(loops)` being what plain leads between them cost. Model: three
 * loops have one branch point; every joint that saves anything is grown by every loop it lacks, on every one of its legs, so
 * all full trees are met whose smaller trees save something too (from one by one growth: Smith 1992, from memory).
 * Places and branch points are settled by turns, each to its best place with the others held (every step shortens the wire);
 * where the loops are points the sum of lengths is convex and the end is the optimum, junctions of 120 degrees.
 */
export function branchingJoints(
  loops: readonly Chain[],
  ground: Visibility,
  apartM: ApartM,
  spanM: (loops: readonly number[]) => number,
): Joint[] {
  const places = lazily(loops);
  const found = new Map<number, Joint>();
  let grown = new Map<string, Joint>();
  const weigh = (begun: Joint, next: Map<string, Joint>): void => {
    const mostM = spanM(begun.loops) - LEAST_SAVING_M;
    const joint = settled(begun, places, mostM);
    if (joint.lengthM > mostM || !isClear(joint, ground)) return;
    next.set(nameOf(joint), joint);
    const set = setOf(joint.loops);
    if (joint.lengthM < (found.get(set)?.lengthM ?? Infinity)) found.set(set, joint);
  };
  for (let a = 0; a < loops.length; a++) {
    for (let b = a + 1; b < loops.length; b++) {
      for (let c = b + 1; c < loops.length; c++) {
        const leastM = fermatLengthM(apartM(a, b), apartM(b, c), apartM(a, c));
        if (spanM([a, b, c]) - leastM < LEAST_SAVING_M) continue;
        weigh(starOf(places, [a, b, c]), grown);
      }
    }
  }
  while (grown.size > 0) {
    const next = new Map<string, Joint>();
    for (const joint of grown.values()) {
      for (let loop = 0; loop < loops.length; loop++) {
        if (joint.loops.includes(loop)) continue;
        for (const leg of joint.legs) weigh(withLoop(joint, leg, loop, places), next);
      }
    }
    grown = next;
  }
  return [...found.values()];
}

type Places = (loop: number) => Chain;

/** Where leads are welcome on the loops, worked out for the loops that are asked for. */
function lazily(loops: readonly Chain[]): Places {
  const known: Chain[] = [];
  return (loop) => {
    known[loop] ??= welcome(loops[loop]);
    return known[loop];
  };
}

/** Where a lead is welcome on a loop: at no cost if there is such a place. */
function welcome(chain: Chain): Chain {
  if (chain.mostCostM === chain.leastCostM) return chain;
  const kept = Array.from({ length: chain.count }, (_, index) => index).filter(
    (index) => chain.costsM[index] === chain.leastCostM,
  );
  const at = new Float64Array(4 * kept.length);
  for (const [k, index] of kept.entries()) at.set(chain.at.subarray(4 * index, 4 * index + 4), 4 * k);
  return chainFrom(
    chain.owner,
    at,
    kept.map((index) => chain.edges[index]),
    new Float64Array(kept.length),
  );
}

export const setOf = (loops: readonly number[]): number => loops.reduce((set, loop) => set | (1 << loop), 0);

/** Joints of the same loops and shape have the same name: the loops beyond each leg. */
function nameOf({ loops, legs }: Joint): string {
  const all = setOf(loops);
  const beyond = (from: number, to: number): number => {
    if (to < loops.length) return 1 << loops[to];
    return legs.reduce((set, [a, b]) => {
      if (a === to && b !== from) return set | beyond(to, b);
      return b === to && a !== from ? set | beyond(to, a) : set;
    }, 0);
  };
  return legs
    .map(([a, b]) => Math.min(beyond(a, b), all & ~beyond(a, b)))
    .toSorted((p, q) => p - q)
    .join();
}

/** Three places and a branch point between them, begun in the middle of the shortest legs. */
function starOf(places: Places, loops: readonly [number, number, number]): Joint {
  const [p, q, r] = loops.map(places);
  const legs = [shortestLeg(p, q), shortestLeg(q, r), shortestLeg(p, r)];
  const x = legs.reduce((sum, { ax, bx }) => sum + ax + bx, 0) / 6;
  const y = legs.reduce((sum, { ay, by }) => sum + ay + by, 0) / 6;
  return {
    loops,
    points: Float64Array.of(x, y, x, y, x, y, x, y),
    legs: [
      [0, 3],
      [1, 3],
      [2, 3],
    ],
    lengthM: Infinity,
    edges: [0, 0, 0],
  };
}

/** A joint with one more loop on one of its legs: a new place, and a new branch point on the leg. */
function withLoop(joint: Joint, leg: readonly [number, number], loop: number, places: Places): Joint {
  const count = joint.loops.length;
  const moved = (point: number): number => (point < count ? point : point + 1);
  const [a, b] = leg;
  const { points } = joint;
  const branch = points.length / 2 + 1;
  const chain = legChain(points, a, b);
  const near = shortestLeg(places(loop), chain);
  const old = joint.legs.filter((each) => each !== leg).map(([p, q]): [number, number] => [moved(p), moved(q)]);
  return {
    loops: [...joint.loops, loop],
    points: Float64Array.of(
      ...points.subarray(0, 2 * count),
      near.ax,
      near.ay,
      ...points.subarray(2 * count),
      near.bx,
      near.by,
    ),
    legs: [...old, [moved(a), branch], [moved(b), branch], [count, branch]],
    lengthM: Infinity,
    edges: [...joint.edges, 0],
  };
}

function legChain(points: Float64Array, a: number, b: number): Chain {
  const at = Float64Array.of(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]);
  return chainFrom('leg', at, [0], [0]);
}

/** The joint with every point moved to its best place until nothing moves, or until it is plain that it stays longer than `mostM`. */
function settled(joint: Joint, places: Places, mostM: number): Joint {
  const { loops, legs } = joint;
  const points = joint.points.slice();
  const edges = [...joint.edges];
  const count = points.length / 2;
  const beside = Array.from({ length: count }, (_, point) =>
    legs.flatMap(([a, b]) => (a === point ? [b] : b === point ? [a] : [])),
  );
  let lastM = Number.POSITIVE_INFINITY;
  for (let round = 1; round <= MOST_ROUNDS; round++) {
    let movedM = 0;
    for (let point = 0; point < count; point++) {
      const [x, y] = [points[2 * point], points[2 * point + 1]];
      if (point < loops.length) edges[point] = project(places(loops[point]), points, beside[point][0], point);
      else branch(points, beside[point], point);
      movedM = Math.max(movedM, distanceM(x, y, points[2 * point], points[2 * point + 1]));
    }
    if (movedM < SETTLED_M) break;
    if (round % LOOK_ROUNDS !== 0) continue;
    const lengthM = lengthOf(points, legs);
    if (lengthM - mostM > LOOK_AHEAD * (lastM - lengthM)) break;
    lastM = lengthM;
  }
  return { loops, points, legs, lengthM: lengthOf(points, legs), edges };
}

/** Moves a place to the point of its loop nearest to the point at the other end of its leg; the edge it is on. */
function project(chain: Chain, points: Float64Array, other: number, place: number): number {
  const [x, y] = [points[2 * other], points[2 * other + 1]];
  const piece = nearestPiece(chain, x, y);
  const [ax, ay, bx, by] = chain.at.subarray(4 * piece, 4 * piece + 4);
  const t = parameterOnSegment(x, y, ax, ay, bx, by);
  points[2 * place] = t === 1 ? bx : ax + t * (bx - ax);
  points[2 * place + 1] = t === 1 ? by : ay + t * (by - ay);
  return chain.edges[piece];
}

function branch(points: Float64Array, beside: readonly number[], point: number): void {
  const [a, b, c] = [2 * beside[0], 2 * beside[1], 2 * beside[2]];
  const best = fermatPoint(points[a], points[a + 1], points[b], points[b + 1], points[c], points[c + 1]);
  [points[2 * point], points[2 * point + 1]] = best;
}

const lengthOf = (points: Float64Array, legs: Joint['legs']): number =>
  legs.reduce((sum, [a, b]) => sum + legM(points, a, b), 0);

export const legM = (points: Float64Array, a: number, b: number): number =>
  distanceM(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]);

/** Whether every leg is real (no two points of the joint in one place) and clear of obstacles and wires. */
function isClear({ loops, points, legs }: Joint, ground: Visibility): boolean {
  return legs.every(
    ([a, b]) =>
      legM(points, a, b) > SETTLED_M * 10 &&
      ground.sees(
        points[2 * a],
        points[2 * a + 1],
        points[2 * b],
        points[2 * b + 1],
        a < loops.length,
        b < loops.length,
      ),
  );
}
