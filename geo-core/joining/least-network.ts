import { type Chain, shortestLeg } from '#geo-core/plane/chain.ts';
import { segmentsCross } from '#geo-core/plane/segment.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import { branchingJoints, type Joint, setOf } from './branching-leads.ts';
import { type ApartM, treeOf } from './least-tree.ts';

/** The least network takes time that grows with 3 to the number of loops. */
const MOST_LOOPS = 8;

/**
 * The least network over up to eight loops that is put together from branching joints and the `plain` network found before (no
 * other plain leads need be looked at: what is left of a least spanning tree once some loops are one is a least spanning tree
 * of the rest; only where leads begin on leads it may be none, and all straight leads are looked at): exact over these, by the least wire for every set of loops (Dreyfus and Wagner 1971, from memory; taken
 * apart at the loops a network has only joints that meet in one loop each). Joints in an order in which each begins on a
 * loop already joined, loop 0 first. Undefined where there is nothing to gain, or for more loops.
 */
export function leastNetwork(
  loops: readonly Chain[],
  ground: Visibility,
  apartM: ApartM,
  plain: readonly Joint[],
): Joint[] | undefined {
  const count = loops.length;
  if (count < 3 || count > MOST_LOOPS) return undefined;
  const straight = plain.some((joint) => joint.loops.length > 2) ? straightJoints(loops, ground) : [];
  const bottleneckM = bottlenecks([...plain, ...straight], count);
  const branching = branchingJoints(loops, ground, apartM, (set) => spanM(set, bottleneckM));
  if (branching.length === 0) return undefined;
  const chosen = leastJoints([...plain, ...straight, ...branching], count);
  return chosen === undefined || crossing(chosen) ? undefined : chosen;
}

/** The shortest straight leads between any two loops, where nothing is in the way. */
function straightJoints(loops: readonly Chain[], ground: Visibility): Joint[] {
  return loops.flatMap((p, a) =>
    loops.slice(a + 1).flatMap((q, k): Joint[] => {
      const { ax, ay, bx, by, distanceM, from, to } = shortestLeg(p, q);
      if (!ground.sees(ax, ay, bx, by, true, true)) return [];
      const points = Float64Array.of(ax, ay, bx, by);
      return [
        { loops: [a, a + 1 + k], points, legs: [[0, 1]], lengthM: distanceM, edges: [p.edges[from], q.edges[to]] },
      ];
    }),
  );
}

/** For every two loops the least length that some chain of plain joints between them has as its longest joint. */
function bottlenecks(joints: readonly Joint[], count: number): number[][] {
  const least = Array.from({ length: count }, (_, a) =>
    Array.from({ length: count }, (_, b) => (a === b ? 0 : Infinity)),
  );
  for (const { loops, lengthM } of joints) {
    for (const a of loops) for (const b of loops) least[a][b] = Math.min(least[a][b], lengthM);
  }
  for (let by = 0; by < count; by++) {
    for (let a = 0; a < count; a++) {
      for (let b = 0; b < count; b++) least[a][b] = Math.min(least[a][b], Math.max(least[a][by], least[by][b]));
    }
  }
  return least;
}

function spanM(loops: readonly number[], bottleneckM: readonly (readonly number[])[]): number {
  const links = loops.flatMap((p, a) => loops.slice(0, a).map((q, b) => ({ a, b, lengthM: bottleneckM[p][q] })));
  return treeOf(links, loops.length).reduce((sum, { lengthM }) => sum + lengthM, 0);
}

/** The least joints that join all loops; equal sums go to the joints that come first. */
function leastJoints(joints: readonly Joint[], count: number): Joint[] | undefined {
  const sets = joints.map(({ loops }) => setOf(loops));
  const all = 2 ** count - 1;
  const leastM = new Float64Array(all + 1).fill(Infinity);
  const last = new Int32Array(all + 1).fill(-1);
  leastM[1] = 0;
  for (let joined = 1; joined < all; joined += 2) {
    if (leastM[joined] === Infinity) continue;
    joints.forEach(({ lengthM }, k) => {
      const shared = joined & sets[k];
      if (shared === 0 || (shared & (shared - 1)) !== 0) return;
      const sumM = leastM[joined] + lengthM;
      if (sumM >= leastM[joined | sets[k]] - 1e-9) return;
      leastM[joined | sets[k]] = sumM;
      last[joined | sets[k]] = 2 ** 16 * joined + k;
    });
  }
  if (last[all] < 0) return undefined;
  const chosen: Joint[] = [];
  for (let joined = all; joined !== 1; joined = last[joined] >> 16) chosen.push(joints[last[joined] & 0xffff]);
  return chosen.toReversed();
}

/** Whether legs of two joints cross: then there is a shorter network, outside the model. */
function crossing(joints: readonly Joint[]): boolean {
  const legs = joints.flatMap(({ points, legs: own }) =>
    own.map(([a, b]) => [points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]] as const),
  );
  return legs.some((p, k) => legs.slice(k + 1).some((q) => segmentsCross(...p, ...q)));
}
