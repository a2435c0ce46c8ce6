import type { Chain } from '#geo-core/plane/chain.ts';
import { LEAF_SEGMENTS } from '#geo-core/plane/segment-tree.ts';
import { threeM } from './least-full.ts';
import type { ApartM } from './least-tree.ts';
import { type LegEnd, legEnd, partsOf } from './leg-ends.ts';
import type { TreeForm } from './settle-tree.ts';

/** One branch point, turned either way. */
const THREE: readonly TreeForm[] = [
  { form: [1, 1, 0], turns: [3, 5, 1] },
  { form: [1, 1, 0], turns: [3, 1, 5] },
];
/** The forms of full trees over a set of three things with the ends of their legs, as far as trees shorter than `mostM` may end there. */
export type ThreeTrees = (
  set: number,
  mostM: number,
  settle: (form: TreeForm, ends: readonly LegEnd[]) => void,
) => void;

export function threeTrees(chains: readonly Chain[], apartM: ApartM): ThreeTrees {
  const whole = chains.map((chain): LegEnd | undefined =>
    isConvex(chain) ? { ...legEnd(0, partsOf(chain, 0, chain.count)), isConvex: true } : undefined,
  );
  return (set, mostM, settle) => {
    const members: number[] = [];
    for (let rest = set; rest !== 0; rest &= rest - 1) members.push(31 - Math.clz32(rest & -rest));
    const ends = members.map((member): LegEnd => {
      const all = whole[member];
      return all === undefined ? nearEnd(chains, member, members, mostM, apartM) : { ...all, member };
    });
    if (ends.some(({ parts }) => parts.length === 0)) return;
    for (const form of THREE) settle(form, ends);
  };
}

/** Whether a chain is one closed ring that turns one way only, so that it is its own hull, or a single piece. */
function isConvex({ at, count }: Chain): boolean {
  if (count === 1) return true;
  let [lefts, rights, halves] = [0, 0, 0];
  for (let k = 0; k < count; k++) {
    const [i, j] = [4 * k, k + 1 === count ? 0 : 4 * k + 4];
    if (at[i + 2] !== at[j] || at[i + 3] !== at[j + 1]) return false;
    const [ux, uy] = [at[i + 2] - at[i], at[i + 3] - at[i + 1]];
    const [vx, vy] = [at[j + 2] - at[j], at[j + 3] - at[j + 1]];
    const turn = ux * vy - uy * vx;
    if (turn > 0) lefts++;
    if (turn < 0) rights++;
    if (uy > 0 !== vy > 0) halves++;
  }
  return (lefts === 0 || rights === 0) && halves === 2;
}

/** The pieces of a member that a tree over all members shorter than `mostM` may end on. */
function nearEnd(
  chains: readonly Chain[],
  member: number,
  members: readonly number[],
  mostM: number,
  apartM: ApartM,
): LegEnd {
  const chain = chains[member];
  const [p, q] = members.filter((other) => other !== member);
  const otherM = apartM(p, q);
  const mayEnd = (node: number): boolean => {
    const toP = boxesApartM(chain.boxes, 4 * node, chains[p].boxes);
    const toQ = boxesApartM(chain.boxes, 4 * node, chains[q].boxes);
    return threeM(toP, toQ, otherM) < mostM;
  };
  const parts: LegEnd['parts'][number][] = [];
  const open = [1];
  for (let node = open.pop(); node !== undefined; node = open.pop()) {
    if (!mayEnd(node)) continue;
    if (node < chain.firstLeaf) open.push(2 * node + 1, 2 * node);
    else {
      const from = (node - chain.firstLeaf) * LEAF_SEGMENTS;
      parts.push(...partsOf(chain, from, Math.min(chain.count, from + LEAF_SEGMENTS)));
    }
  }
  return legEnd(member, parts);
}

/** How far a node's box is from a whole chain's. */
function boxesApartM(p: Float64Array, i: number, q: Float64Array): number {
  const dx = Math.max(0, p[i] - q[6], q[4] - p[i + 2]);
  const dy = Math.max(0, p[i + 1] - q[7], q[5] - p[i + 3]);
  return Math.sqrt(dx * dx + dy * dy);
}
