import { type Chain, clippedChain } from '#geo-core/plane/chain.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import { cornerJoints, mergedAtCorners } from './corner-joints.ts';
import type { Joint } from './joint.ts';
import { leadBoundM } from './lead-bound.ts';
import { leastNetwork } from './least-network.ts';
import { type ApartM, groupsOf } from './least-tree.ts';
import { bentTree, legsBetween, straightTree } from './plain-joints.ts';

/** Up to so many loops the network is the least there is; the time grows with 3 to their number. */
const FEW_LOOPS = 8;
/** Loops and corners of obstacles together. */
const FEW_ENDS = 12;

export type Joined = {
  /** In an order in which each begins on a loop already joined, loop 0 first. */
  readonly joints: readonly Joint[];
  /** No network over the same loops is shorter, metres. */
  readonly leastM: number;
  readonly reachesAll: boolean;
};

/**
 * The least network over loops, each a chain of places where wire may end. Up to eight loops it is exact, with branches wherever they
 * save wire, among obstacles as long as these have few corners. More loops are taken in groups of up to eight along their least
 * spanning tree, each group exact.
 */
export function joinLoops(chains: readonly Chain[], ground: Visibility): Joined {
  const loops = ground.allInside ? chains : chains.map((chain) => clippedChain(chain, ground.clip) ?? chain);
  const legs = legsBetween(loops);
  const apartM: ApartM = (a, b) => (a < b ? legs(a, b) : legs(b, a)).distanceM;
  const boundM = (): number => Math.max(leadBoundM(loops, apartM), halfBoundM(plain));
  const straight = straightTree(loops, legs, ground);
  const plain = straight ?? bentTree(loops, ground);
  const reachesAll = plain.length === loops.length - 1;
  const done = (unordered: readonly Joint[], knownM = Number.POSITIVE_INFINITY): Joined => {
    const joints = fromFirst(unordered, loops.length);
    return { joints, leastM: Math.min(knownM, sumM(joints)), reachesAll };
  };
  if (loops.length === 2 || plain.length < 2) return done(plain);
  if (plain.some(({ lengthM }) => lengthM === 0)) return done(plain, reachesAll ? boundM() : 0);
  if (!reachesAll) return done(plain, 0);
  if (loops.length > FEW_LOOPS) {
    return done(inGroups(plain, loops, apartM, ground), boundM());
  }
  const isOpen = straight !== undefined && ground.corners().at.length === 0;
  const { joints, isLeast } = isOpen
    ? leastNetwork(loops, loops.length, plain, apartM, ground)
    : amongObstacles(loops, plain, apartM, ground);
  return done(joints, isLeast ? Number.POSITIVE_INFINITY : boundM());
}

function amongObstacles(
  loops: readonly Chain[],
  plain: readonly Joint[],
  apartM: ApartM,
  ground: Visibility,
): ReturnType<typeof leastNetwork> {
  if (loops.length + ground.corners().at.length / 2 > FEW_ENDS) {
    return { joints: leastNetwork(loops, loops.length, plain, apartM, ground).joints, isLeast: false };
  }
  const { corners, joints: ways } = cornerJoints(loops, ground);
  const ends = [...loops, ...corners];
  const endLegs = legsBetween(ends);
  const endsApartM: ApartM = (a, b) => (a < b ? endLegs(a, b) : endLegs(b, a)).distanceM;
  const { joints, isLeast } = leastNetwork(ends, loops.length, [...plain, ...ways], endsApartM, ground);
  return { joints: mergedAtCorners(joints, loops.length), isLeast };
}

/**
 * A least spanning tree of shortest ways round obstacles is less than twice any network over the same n loops, by 1 - 1/n: walk round a network
 * and leave out the longest way between two loops (Gilbert and Pollak 1968, from memory).
 */
const halfBoundM = (plain: readonly Joint[]): number => (sumM(plain) * (plain.length + 1)) / (2 * plain.length);

const sumM = (joints: readonly Joint[]): number => joints.reduce((sum, { lengthM }) => sum + lengthM, 0);

/** Groups that hang together by short joints, each with its least network; between them the plain joints. */
function inGroups(plain: readonly Joint[], loops: readonly Chain[], apartM: ApartM, ground: Visibility): Joint[] {
  const groups = groupsOf(loops.length);
  const members = loops.map((_, loop) => [loop]);
  const between: Joint[] = [];
  const within: Joint[] = [];
  for (const joint of plain.toSorted((p, q) => p.lengthM - q.lengthM)) {
    const [a, b] = joint.loops.map((loop) => groups.of(loop));
    if (members[a].length + members[b].length > FEW_LOOPS) {
      between.push(joint);
      continue;
    }
    groups.join(a, b);
    members[groups.of(a)] = [...members[a], ...members[b]].toSorted((p, q) => p - q);
    within.push(joint);
  }
  return [
    ...between,
    ...members.flatMap((group, root) => {
      if (groups.of(root) !== root) return [];
      const own = within.filter((joint) => groups.of(joint.loops[0]) === root);
      if (group.length < 3) return own;
      const named = (joint: Joint, name: (loop: number) => number): Joint => ({
        ...joint,
        loops: joint.loops.map(name),
      });
      return leastNetwork(
        group.map((loop) => loops[loop]),
        group.length,
        own.map((joint) => named(joint, (loop) => group.indexOf(loop))),
        (a, b) => apartM(group[a], group[b]),
        ground,
      ).joints.map((joint) => named(joint, (k) => group[k]));
    }),
  ];
}

/** Joints in the order in which they join more, the shortest first; loop 0 is joined from the beginning. */
function fromFirst(joints: readonly Joint[], count: number): Joint[] {
  const at: Joint[][] = Array.from({ length: count }, () => []);
  for (const joint of joints) for (const loop of joint.loops) at[loop].push(joint);
  const ordered: Joint[] = [];
  const taken = new Set<Joint>();
  let open = [...at[0]];
  while (open.length > 0) {
    const next = open.reduce((least, joint) => (joint.lengthM < least.lengthM ? joint : least));
    taken.add(next);
    ordered.push(next);
    open = [...open, ...next.loops.flatMap((loop) => at[loop])].filter(
      (joint, k, all) => !taken.has(joint) && all.indexOf(joint) === k,
    );
  }
  return ordered;
}
