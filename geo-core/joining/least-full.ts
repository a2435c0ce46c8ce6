import { type ApartM, branchRatio } from './least-tree.ts';
import { spanM } from './span.ts';

const ROOT_3 = Math.sqrt(3);

/**
 * For every set of things (a bit each) a length that no tree over it with a branch point at every fork is below, metres, by the straight
 * distances alone: by its threes and fours, and by the ratio of least trees with and without branch points.
 */
export function leastFullM(count: number, apartM: ApartM): Float64Array {
  const leastM = new Float64Array(2 ** count);
  const three = (a: number, b: number, c: number): number => leastM[(1 << a) | (1 << b) | (1 << c)];
  const members = new Int32Array(count);
  for (let set = 7; set < leastM.length; set++) {
    let size = 0;
    for (let rest = set; rest !== 0; rest &= rest - 1) members[size++] = 31 - Math.clz32(rest & -rest);
    const [a, b, c, d] = members;
    if (size < 3) continue;
    if (size === 3) {
      leastM[set] = threeM(apartM(a, b), apartM(a, c), apartM(b, c));
      continue;
    }
    if (size === 4) leastM[set] = fourM(a, b, c, d, apartM, three);
    for (let k = 0; k < size; k++) leastM[set] = Math.max(leastM[set], leastM[set & ~(1 << members[k])]);
    leastM[set] = Math.max(leastM[set], branchRatio(size) * spanM(set, 0, count, apartM));
  }
  return leastM;
}

/**
 * Three points no nearer to each other than this are joined by no less: the tree with one branch point of a triangle with such sides
 * (Torricelli, from memory), or its two short sides where they meet at 120 degrees or more. It grows with each side.
 */
export function threeM(p: number, q: number, r: number): number {
  const longM = Math.max(p, q, r);
  const shortM = Math.min(p, q, r);
  const middleM = p + q + r - longM - shortM;
  if (longM * longM >= shortM * shortM + middleM * middleM + shortM * middleM) return shortM + middleM;
  const half = (p + q + r) / 2;
  const areaM2 = Math.sqrt(Math.max(0, half * (half - p) * (half - q) * (half - r)));
  return Math.sqrt((p * p + q * q + r * r) / 2 + 2 * ROOT_3 * areaM2);
}

/**
 * Two branch points with two of four things at each: a tree over the first two and a third, one over them and the fourth, and the way
 * between the third and the fourth go over every leg twice.
 */
function fourM(
  a: number,
  b: number,
  c: number,
  d: number,
  apartM: ApartM,
  three: (a: number, b: number, c: number) => number,
): number {
  const [abc, abd, acd, bcd] = [three(a, b, c), three(a, b, d), three(a, c, d), three(b, c, d)];
  const byTwos = (p: number, q: number, ownM: number, r: number, s: number, otherM: number): number =>
    Math.max(p + q + otherM, r + s + ownM) / 2;
  return Math.min(
    byTwos(abc, abd, apartM(a, b), acd, bcd, apartM(c, d)),
    byTwos(abc, acd, apartM(a, c), abd, bcd, apartM(b, d)),
    byTwos(abd, acd, apartM(a, d), abc, bcd, apartM(b, c)),
  );
}
