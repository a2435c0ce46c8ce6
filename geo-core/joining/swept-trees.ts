import type { Chain } from '#geo-core/plane/chain.ts';
import { sineCosine } from '#geo-core/projection/portable-functions.ts';
import { type LegEnd, legEnds, SECTOR, SECTORS } from './leg-ends.ts';
import type { TreeForm } from './settle-tree.ts';
import { type Metric, spanM } from './span.ts';

const ROOT_3 = Math.sqrt(3);
const SIXTH = SECTORS / 6;
/** The direction in the middle of every sector, turned by every way: cosine and sine by sector, then way. */
const DIRECTIONS = Array.from({ length: SECTORS }, (_, k) =>
  sineCosine((Math.floor(k / 6) + 0.5) * SECTOR + ((k % 6) * Math.PI) / 3),
);

/**
 * Part of a full tree beyond one of its legs, which comes in direction `way` (sixths of a turn from the direction looked at). Its top is the
 * branch point, or the place, at the leg's end. Every number lies between two bounds for all that the direction leaves open.
 */
type Branch = {
  readonly set: number;
  readonly way: number;
  /** The top along the leg's direction, and across it (to the left), metres. */
  readonly leastAlongM: number;
  readonly mostAlongM: number;
  readonly leastAcrossM: number;
  readonly mostAcrossM: number;
  /** All its legs together are at least this long. */
  readonly legsM: number;
  readonly of: LegEnd | readonly [left: Branch, right: Branch];
};

/**
 * The forms of full trees over all sets `within` (a 1 for each set and all its parts), and the ends of their legs, the root first; the root is
 * the first member.
 *
 * All legs of a full tree run in three directions 120 degrees apart. So all directions are looked at, one narrow sector at a time: by
 * the direction alone the places where a leg may end are few and small, branches grow from twos (GeoSteiner: Warme, Winter and
 * Zachariasen 2000, from memory), and one is given up where a leg of it would run backwards or be longer than what can replace
 * it (bottlenecks: Hwang, Richards and Winter, The Steiner Tree Problem, 1992, from memory). Nothing is lost, because bounds hold
 * for the whole sector,
 * unless `spend` (units of work) says that it is enough.
 */
export function sweptTrees(
  chains: readonly Chain[],
  metric: Metric,
  within: Uint8Array,
  spend: (units: number) => boolean,
  settle: (set: number, form: TreeForm, ends: readonly LegEnd[]) => void,
): void {
  const count = chains.length;
  const limits = limitsOf(count, metric, within);
  const endsOf = chains.map((chain, member) =>
    limits.mayJoin(1 << member) ? legEnds(chain, member, nearTo(chains, member, limits.reachM)) : [],
  );
  if (endsOf.every(({ length }) => length === 0)) return;
  const [x, y] = middleOf(chains);
  for (let sector = 0; sector < SIXTH; sector++) {
    if (!spend(0)) return;
    const leaves = leavesAt(sector, endsOf, x, y);
    for (const branch of grown(leaves, count, limits, spend)) {
      const roots = leaves[(branch.way + 3) % 6];
      if (!spend(roots.length)) return;
      for (const root of roots) {
        const set = branch.set | root.set;
        if ((branch.set & -branch.set) <= root.set || !limits.mayJoin(set) || !meet(branch, root, limits)) continue;
        settle(set, ...formOf(branch, root));
      }
    }
  }
}

type Limits = {
  /** Whether a full tree may join the things of a set, and others maybe. */
  mayJoin(set: number): boolean;
  /** By two sets of members: no leg between branches over them is longer than the shortest way that can replace it. */
  legM(p: number, q: number): number;
  /** All legs of a branch over a set can be replaced by ways no longer than these. */
  branchM(set: number): number;
  /** No place of a tree is farther than this from all other members. */
  readonly reachM: number;
};

function limitsOf(count: number, { rejoinM }: Metric, within: Uint8Array): Limits {
  const rowM = new Float64Array(count * 2 ** count).fill(-1);
  const toSetM = (s: number, set: number): number => {
    const known = rowM[(s << count) | set];
    if (known >= 0) return known;
    let leastM = Number.POSITIVE_INFINITY;
    for (let t = 0; t < count; t++) if ((set >> t) & 1) leastM = Math.min(leastM, rejoinM(s, t));
    rowM[(s << count) | set] = leastM;
    return leastM;
  };
  const branchesM = new Float64Array(2 ** count).fill(-1);
  let mostM = 0;
  for (let s = 0; s < count; s++) for (let t = 0; t < s; t++) mostM = Math.max(mostM, rejoinM(s, t));
  return {
    mayJoin: (set) => within[set] === 1,
    legM(p, q) {
      let leastM = Number.POSITIVE_INFINITY;
      for (let rest = p; rest !== 0; rest &= rest - 1)
        leastM = Math.min(leastM, toSetM(31 - Math.clz32(rest & -rest), q));
      return leastM;
    },
    branchM(set) {
      const known = branchesM[set];
      if (known >= 0) return known;
      let farthestM = 0;
      for (let t = 0; t < count; t++) if (!((set >> t) & 1)) farthestM = Math.max(farthestM, toSetM(t, set));
      const sumM = spanM(set, 0, count, rejoinM) + farthestM;
      branchesM[set] = sumM;
      return sumM;
    },
    // From a place one leg, and from there the fewest legs to a leaf of a branching by twos.
    reachM: mostM * (33 - Math.clz32(count - 1)),
  };
}

/** Whether a piece is within reach of any other member. */
function nearTo(chains: readonly Chain[], member: number, reachM: number): (piece: number) => boolean {
  const { at } = chains[member];
  const others = chains.filter((_, index) => index !== member).map(({ boxes }) => boxes);
  return (piece) => {
    const i = 4 * piece;
    const minX = Math.min(at[i], at[i + 2]) - reachM;
    const maxX = Math.max(at[i], at[i + 2]) + reachM;
    const minY = Math.min(at[i + 1], at[i + 3]) - reachM;
    const maxY = Math.max(at[i + 1], at[i + 3]) + reachM;
    return others.some((box) => box[4] <= maxX && box[6] >= minX && box[5] <= maxY && box[7] >= minY);
  };
}

/** The middle of all chains but the first, which goes round them as a rule: near it a turn moves things least. */
function middleOf(chains: readonly Chain[]): readonly [number, number] {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { boxes } of chains.slice(1)) {
    box[0] = Math.min(box[0], boxes[4]);
    box[1] = Math.min(box[1], boxes[5]);
    box[2] = Math.max(box[2], boxes[6]);
    box[3] = Math.max(box[3], boxes[7]);
  }
  return [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2];
}

/** The branches of one place each, by way, as seen from a direction in the middle of a sector. */
function leavesAt(sector: number, endsOf: readonly (readonly LegEnd[][])[], x: number, y: number): Branch[][] {
  const leaves: Branch[][] = [];
  for (let way = 0; way < 6; way++) {
    const own: Branch[] = [];
    for (const ends of endsOf) {
      for (const end of ends[sector + way * SIXTH] ?? []) own.push(leafOf(end, sector, way, x, y));
    }
    leaves.push(own);
  }
  return leaves;
}

function leafOf(end: LegEnd, sector: number, way: number, x: number, y: number): Branch {
  const { cosine: dx, sine: dy } = DIRECTIONS[6 * sector + way];
  const { corners, member } = end;
  let leastAlongM = Number.POSITIVE_INFINITY;
  let mostAlongM = Number.NEGATIVE_INFINITY;
  let leastAcrossM = Number.POSITIVE_INFINITY;
  let mostAcrossM = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < corners.length; i += 2) {
    const px = corners[i] - x;
    const py = corners[i + 1] - y;
    const offM = Math.sqrt(px * px + py * py) * (SECTOR / 2 + 1e-6) + 1e-6;
    const alongM = px * dx + py * dy;
    const acrossM = py * dx - px * dy;
    leastAlongM = Math.min(leastAlongM, alongM - offM);
    mostAlongM = Math.max(mostAlongM, alongM + offM);
    leastAcrossM = Math.min(leastAcrossM, acrossM - offM);
    mostAcrossM = Math.max(mostAcrossM, acrossM + offM);
  }
  return { set: 1 << member, way, leastAlongM, mostAlongM, leastAcrossM, mostAcrossM, legsM: 0, of: end };
}

/** All branches of two places and more; the first member is never in one. */
function grown(
  leaves: readonly (readonly Branch[])[],
  count: number,
  limits: Limits,
  spend: (units: number) => boolean,
): Branch[] {
  // By way and number of places.
  const found = leaves.map((own): (readonly Branch[])[] => [[], own.filter(({ set }) => set !== 1)]);
  const all: Branch[] = [];
  for (let size = 2; size < count; size++) {
    for (let way = 0; way < 6; way++) {
      const [left, right] = [found[(way + 1) % 6], found[(way + 5) % 6]];
      const own: Branch[] = [];
      for (let part = 1; part < size; part++) {
        for (const a of left[part]) {
          if (!spend(right[size - part].length)) return [];
          for (const b of right[size - part]) {
            if ((a.set & b.set) !== 0 || !limits.mayJoin(a.set | b.set)) continue;
            const branch = joined(a, b, way, limits);
            if (branch !== undefined) own.push(branch);
          }
        }
      }
      found[way][size] = own;
      for (const branch of own) all.push(branch);
    }
  }
  return all;
}

/**
 * Two branches joined, `a` on the left. With s across the ways of a and b the branch point lies at (s_b - s_a) / sqrt 3 along its own way,
 * s_a + s_b across it, (2 s_b + s_a) / sqrt 3 along the way of a and -(2 s_a + s_b) / sqrt 3 along that of b. Undefined where a
 * leg would run backwards, or where legs would be longer than ways that can replace them.
 */
function joined(a: Branch, b: Branch, way: number, limits: Limits): Branch | undefined {
  if (a.mostAlongM - (2 * b.leastAcrossM + a.leastAcrossM) / ROOT_3 <= 0) return undefined;
  if (b.mostAlongM + (2 * a.mostAcrossM + b.mostAcrossM) / ROOT_3 <= 0) return undefined;
  const legA = Math.max(0, a.leastAlongM - (2 * b.mostAcrossM + a.mostAcrossM) / ROOT_3);
  const legB = Math.max(0, b.leastAlongM + (2 * a.leastAcrossM + b.leastAcrossM) / ROOT_3);
  const mostM = limits.legM(a.set, b.set);
  if (legA > mostM || legB > mostM) return undefined;
  const set = a.set | b.set;
  const legsM = a.legsM + b.legsM + legA + legB;
  if (legsM > limits.branchM(set)) return undefined;
  return {
    set,
    way,
    leastAlongM: (b.leastAcrossM - a.mostAcrossM) / ROOT_3,
    mostAlongM: (b.mostAcrossM - a.leastAcrossM) / ROOT_3,
    leastAcrossM: a.leastAcrossM + b.leastAcrossM,
    mostAcrossM: a.mostAcrossM + b.mostAcrossM,
    legsM,
    of: [a, b],
  };
}

/** Whether the leg of a branch may run on to a place that it faces. */
function meet(branch: Branch, root: Branch, limits: Limits): boolean {
  if (branch.leastAcrossM + root.leastAcrossM > 0 || branch.mostAcrossM + root.mostAcrossM < 0) return false;
  if (branch.mostAlongM + root.mostAlongM <= 0) return false;
  return branch.leastAlongM + root.leastAlongM <= limits.legM(branch.set, root.set);
}

/** The form of the full trees of a branch with a root, and their ends, the root's first. */
function formOf(branch: Branch, root: Branch): readonly [form: TreeForm, ends: readonly LegEnd[]] {
  const form: number[] = [];
  const ends: LegEnd[] = [];
  const turns: number[] = [];
  const unfold = ({ of, way }: Branch): void => {
    if ('member' in of) {
      form.push(1);
      ends.push(of);
      turns.push((6 - way) % 6);
      return;
    }
    for (const part of of) unfold(part);
    form.push(0);
  };
  unfold(root);
  form.length = 0;
  unfold(branch);
  return [{ form, turns }, ends];
}
