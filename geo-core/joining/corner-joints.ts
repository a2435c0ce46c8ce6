import { type Chain, pointChain } from '#geo-core/plane/chain.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import { wavefront } from '#geo-core/plane/wavefront.ts';
import type { Joint } from './joint.ts';
import { wayBetween } from './plain-joints.ts';

/** Corners that wire can bend round, as chains of one point, and the shortest ways from each to the loops and to the corners that it sees. */
export function cornerJoints(
  loops: readonly Chain[],
  ground: Visibility,
): { readonly corners: Chain[]; readonly joints: Joint[] } {
  const { at } = ground.corners();
  const corners = Array.from({ length: at.length / 2 }, (_, k) =>
    pointChain(`corner ${k}`, 0, at[2 * k], at[2 * k + 1]),
  );
  const indexOf = new Map(loops.map(({ owner }, index) => [owner, index]));
  const joints = corners.flatMap((corner, k) => {
    const own = loops.length + k;
    const front = wavefront(ground, loops);
    front.spread(corner);
    const ways: Joint[] = [];
    for (let reached = front.reach(); reached !== undefined; reached = front.reach()) {
      const to = indexOf.get(reached.to.owner);
      if (to !== undefined) ways.push(wayBetween(own, to, reached));
    }
    for (let other = k + 1; other < corners.length; other++) {
      const [ax, ay, bx, by] = [at[2 * k], at[2 * k + 1], at[2 * other], at[2 * other + 1]];
      if (!ground.sees(ax, ay, bx, by, false, false)) continue;
      ways.push({
        loops: [own, loops.length + other],
        points: Float64Array.of(ax, ay, bx, by),
        legs: [[0, 1]],
        lengthM: distanceM(ax, ay, bx, by),
        edges: [0, 0],
      });
    }
    return ways;
  });
  return { corners, joints };
}

/** Joints that meet at corners made one: corners become bends and branch points. Indices from `loops` on are corners. */
export function mergedAtCorners(joints: readonly Joint[], loops: number): Joint[] {
  const merged: Joint[] = [];
  for (const joint of joints) {
    const touching = merged.filter((other) => other.loops.some((end) => end >= loops && joint.loops.includes(end)));
    for (const other of touching) merged.splice(merged.indexOf(other), 1);
    merged.push([...touching, joint].reduce(joinedAt));
  }
  return merged.map((joint) => withoutCorners(joint, loops));
}

/** Two joints as one; what they share becomes one place. */
function joinedAt(p: Joint, q: Joint): Joint {
  const ends = [...p.loops, ...q.loops.filter((end) => !p.loops.includes(end))];
  const points: number[] = [];
  const edges: number[] = [];
  const place = ({ points: own, loops, edges: ownEdges }: Joint, end: number): void => {
    const k = loops.indexOf(end);
    points.push(own[2 * k], own[2 * k + 1]);
    edges.push(ownEdges[k]);
  };
  for (const end of ends) place(p.loops.includes(end) ? p : q, end);
  const legs = [p, q].flatMap((joint) => {
    const first = points.length / 2 - joint.loops.length;
    points.push(...joint.points.subarray(2 * joint.loops.length));
    const moved = (point: number): number =>
      point < joint.loops.length ? ends.indexOf(joint.loops[point]) : first + point;
    return joint.legs.map(([a, b]): [number, number] => [moved(a), moved(b)]);
  });
  return { loops: ends, points: Float64Array.from(points), legs, lengthM: p.lengthM + q.lengthM, edges };
}

/** Corners moved from the places to the bends. */
function withoutCorners(joint: Joint, loops: number): Joint {
  const count = joint.points.length / 2;
  const isCorner = (point: number): boolean => point < joint.loops.length && joint.loops[point] >= loops;
  const order = Array.from({ length: count }, (_, point) => point);
  const places = order.filter((point) => point < joint.loops.length && !isCorner(point));
  const kept = [...places, ...order.filter((point) => point >= joint.loops.length || isCorner(point))];
  return {
    loops: places.map((point) => joint.loops[point]),
    edges: places.map((point) => joint.edges[point]),
    points: Float64Array.from(kept.flatMap((point) => [joint.points[2 * point], joint.points[2 * point + 1]])),
    legs: joint.legs.map(([a, b]): [number, number] => [kept.indexOf(a), kept.indexOf(b)]),
    lengthM: joint.lengthM,
  };
}
