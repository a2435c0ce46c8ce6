import type { Chain } from '#geo-core/plane/chain.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import { branchingJoints } from './branching-joints.ts';
import type { Joint } from './joint.ts';
import type { ApartM } from './least-tree.ts';

/**
 * The least network over a few things: `loops` of them have to be joined, those after them are corners that wire may bend round. `plain`
 * are the joints without branches that may be part of it: a least spanning tree over the ways between loops (what is left of it once
 * some loops are one is a least spanning tree of the rest) and the ways from corners. Taken apart at loops and corners the least network has
 * only such joints and full trees, so it is the least sum of joints that hang together (Dreyfus and Wagner 1971; full
 * components: Hwang, Richards and Winter, The Steiner Tree Problem, 1992; both from memory). It is not the least where
 * the joints with branches are not all known.
 */
export function leastNetwork(
  chains: readonly Chain[],
  loops: number,
  plain: readonly Joint[],
  apartM: ApartM,
  ground: Visibility,
): { readonly joints: readonly Joint[]; readonly isLeast: boolean } {
  const rejoinM = rejoinsM(plain, loops, chains.length);
  const metric = { apartM, rejoinM: (a: number, b: number) => rejoinM[a * chains.length + b] };
  const { joints: branching, isAll } = branchingJoints(chains, metric, ground);
  const isPlain = branching.length === 0 && chains.length === loops;
  return { joints: isPlain ? plain : leastJoints([...plain, ...branching], loops), isLeast: isAll };
}

const setOf = (loops: readonly number[]): number => loops.reduce((set, loop) => set | (1 << loop), 0);

/**
 * The longest way on the tree of loops between two of them; for a corner the way to some loop and on from there. Loops are always
 * part of the network, corners are not, so no way may lead over another corner.
 */
function rejoinsM(plain: readonly Joint[], loops: number, count: number): Float64Array {
  const leastM = new Float64Array(count * count).fill(Number.POSITIVE_INFINITY);
  for (let a = 0; a < count; a++) leastM[a * count + a] = 0;
  for (const joint of plain) {
    const [a, b] = joint.loops;
    leastM[a * count + b] = Math.min(leastM[a * count + b], joint.lengthM);
    leastM[b * count + a] = leastM[a * count + b];
  }
  for (let by = 0; by < loops; by++) {
    for (let a = 0; a < count; a++) {
      for (let b = 0; b < count; b++) {
        const overM = Math.max(leastM[a * count + by], leastM[by * count + b]);
        if (overM < leastM[a * count + b]) leastM[a * count + b] = overM;
      }
    }
  }
  return leastM;
}

/** The least joints that join all loops; equal sums go to the joints that come first. */
function leastJoints(joints: readonly Joint[], loops: number): Joint[] {
  const sets = joints.map((joint) => setOf(joint.loops));
  const all = 2 ** loops - 1;
  const most = sets.reduce((sum, set) => sum | set, all);
  const leastM = new Float64Array(most + 1).fill(Number.POSITIVE_INFINITY);
  const last = new Int32Array(most + 1);
  const before = new Int32Array(most + 1);
  leastM[1] = 0;
  let end = -1;
  for (let joined = 1; joined <= most; joined += 2) {
    if (leastM[joined] === Number.POSITIVE_INFINITY) continue;
    if ((joined & all) === all) {
      if (end < 0 || leastM[joined] < leastM[end] - 1e-9) end = joined;
      continue;
    }
    for (let k = 0; k < joints.length; k++) {
      const shared = joined & sets[k];
      if (shared === 0 || (shared & (shared - 1)) !== 0) continue;
      const sumM = leastM[joined] + joints[k].lengthM;
      const both = joined | sets[k];
      if (sumM >= leastM[both] - 1e-9) continue;
      leastM[both] = sumM;
      last[both] = k;
      before[both] = joined;
    }
  }
  const chosen: Joint[] = [];
  for (let joined = end; joined > 1; joined = before[joined]) chosen.push(joints[last[joined]]);
  return chosen.toReversed();
}
