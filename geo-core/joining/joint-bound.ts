import { fermatLengthM } from '#geo-core/plane/fermat-point.ts';
import { type ApartM, branchRatio, treeOf } from './least-tree.ts';

/**
 * Least length of any network over a few loops, metres, from all the ways it can come apart at the loops. A joint that touches
 * two loops is no shorter than their distance; one that touches more is no shorter than half the shortest round through them (walked
 * on both sides it is a round), than the ratio of least trees with and without branch points allows, and, for three
 * loops, than the tree over three points at these distances: points drawn together never have a longer one (Kirszbraun 1934,
 * from memory). `apartM`: straight distances; `wayM`: what ways through the ground are at least long.
 */
export function jointBoundM(count: number, apartM: ApartM, wayM: ApartM): number {
  const all = 2 ** count - 1;
  const roundsM = halfRounds(count, wayM);
  const jointsM = Float64Array.from({ length: all + 1 }, (_, set) =>
    jointM(membersOf(set, count), roundsM[set], apartM),
  );
  const leastM = new Float64Array(all + 1).fill(Infinity);
  leastM[1] = 0;
  for (let joined = 1; joined < all; joined += 2) {
    const free = all & ~joined;
    for (let added = free; added > 0; added = (added - 1) & free) {
      let leastJointM = Infinity;
      for (let loop = 0; loop < count; loop++) {
        if ((joined >> loop) & 1) leastJointM = Math.min(leastJointM, jointsM[added | (1 << loop)]);
      }
      leastM[joined | added] = Math.min(leastM[joined | added], leastM[joined] + leastJointM);
    }
  }
  return leastM[all];
}

function membersOf(set: number, count: number): number[] {
  return Array.from({ length: count }, (_, loop) => loop).filter((loop) => (set >> loop) & 1);
}

function jointM(loops: readonly number[], halfRoundM: number, apartM: ApartM): number {
  if (loops.length < 3) return halfRoundM;
  if (loops.length === 3) {
    const [a, b, c] = loops;
    return Math.max(halfRoundM, fermatLengthM(apartM(a, b), apartM(b, c), apartM(a, c)));
  }
  const links = loops.flatMap((p, a) => loops.slice(a + 1).map((q, k) => ({ a, b: a + 1 + k, lengthM: apartM(p, q) })));
  const spanM = treeOf(links, loops.length).reduce((sum, { lengthM }) => sum + lengthM, 0);
  return Math.max(halfRoundM, branchRatio(loops.length) * spanM);
}

/** For every set of loops half the shortest round through them (Held and Karp 1962, from memory). */
function halfRounds(count: number, wayM: ApartM): Float64Array {
  const all = 2 ** count;
  const pathM = new Float64Array(all * count).fill(Infinity);
  const halfM = new Float64Array(all);
  const apart = (a: number, b: number): number => wayM(Math.min(a, b), Math.max(a, b));
  for (let loop = 0; loop < count; loop++) pathM[(1 << loop) * count + loop] = 0;
  for (let set = 1; set < all; set++) {
    const first = 31 - Math.clz32(set & -set);
    let roundM = Infinity;
    for (let last = first; last < count; last++) {
      const soFarM = pathM[set * count + last];
      if (soFarM === Infinity) continue;
      roundM = Math.min(roundM, soFarM + (last === first ? 0 : apart(first, last)));
      for (let next = first + 1; next < count; next++) {
        if ((set >> next) & 1) continue;
        const on = (set | (1 << next)) * count + next;
        pathM[on] = Math.min(pathM[on], soFarM + apart(last, next));
      }
    }
    halfM[set] = roundM / 2;
  }
  return halfM;
}
