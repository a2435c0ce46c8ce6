import type { Chain } from '#geo-core/plane/chain.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import type { Joint } from './joint.ts';
import { leastFullM } from './least-full.ts';
import type { ApartM } from './least-tree.ts';
import type { LegEnd } from './leg-ends.ts';
import { settleTree, type TreeForm } from './settle-tree.ts';
import { type Metric, spanM } from './span.ts';
import { sweptTrees } from './swept-trees.ts';
import { threeTrees } from './three-trees.ts';

/** A joint that saves less than this is not worth a branch, metres. */
const LEAST_SAVING_M = 1e-6;

/**
 * What may be spent on one network, counted and not timed so that every machine gives the same: trees settled and pairs of branches looked at.
 * A garden of six loops takes some thousands.
 */
const MOST_WORK = 400_000;
const TREE_WORK = 50;

/** Joints with branches, and whether all are there that the least network may hold. */
export type BranchingJoints = { readonly joints: readonly Joint[]; readonly isAll: boolean };

/**
 * Every joint with branches that the least network over some things may hold: for each set of three or more the shortest full tree that
 * is clear of obstacles, as far as it is shorter than what can replace it; fewer where the work would grow beyond bounds.
 */
export function branchingJoints(chains: readonly Chain[], metric: Metric, ground: Visibility): BranchingJoints {
  const count = chains.length;
  const best = new Map<number, Joint>();
  const replaceM = replacing(count, metric.rejoinM, best);
  const mostM = (set: number): number => replaceM(set) - LEAST_SAVING_M;
  const leastM = leastFullM(count, metric.apartM);
  let work = 0;
  const spend = (units: number): boolean => {
    work += units;
    return work <= MOST_WORK;
  };
  const settle = (set: number, form: TreeForm, ends: readonly LegEnd[]): void =>
    settleTree(form, ends, {
      mostM: () => mostM(set),
      isClear: (joint) => isClear(joint, ground),
      take: (joint) => best.set(set, joint),
      mayTry: () => spend(TREE_WORK),
    });
  const three = threeTrees(chains, metric.apartM);
  for (let set = 7; set < 2 ** count; set++) {
    if (sizeOf(set) !== 3 || leastM[set] >= mostM(set)) continue;
    three(set, mostM(set), (form, ends) => settle(set, form, ends));
  }
  if (count > 3) {
    const within = heldBy((set) => sizeOf(set) > 3 && leastM[set] < mostM(set), count);
    sweptTrees(chains, metric, within, spend, (set, form, ends) => {
      if (sizeOf(set) > 3) settle(set, form, ends);
    });
  }
  return { joints: [...best.values()], isAll: work <= MOST_WORK };
}

/** For every set whether it is one of those asked for, or part of one. */
function heldBy(isAsked: (set: number) => boolean, count: number): Uint8Array {
  const held = new Uint8Array(2 ** count);
  for (let set = 2 ** count - 1; set > 0; set--) {
    if (held[set] === 0 && !isAsked(set)) continue;
    held[set] = 1;
    for (let rest = set; rest !== 0; rest &= rest - 1) held[set & ~(rest & -rest)] = 1;
  }
  return held;
}

function sizeOf(set: number): number {
  let size = 0;
  for (let rest = set; rest !== 0; rest &= rest - 1) size++;
  return size;
}

function isClear({ points, legs, loops }: Joint, ground: Visibility): boolean {
  return legs.every(([a, b]) =>
    ground.sees(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1], a < loops.length, b < loops.length),
  );
}

/**
 * What a joint over a set can be replaced by at most: a least tree over the ways to rejoin, or one smaller joint found already and
 * such ways. Joints found later make it less.
 */
function replacing(count: number, rejoinM: ApartM, best: ReadonlyMap<number, Joint>): (set: number) => number {
  const smallerM = new Map<number, { readonly joints: number; readonly leastM: number }>();
  return (set) => {
    const ownM = best.get(set)?.lengthM ?? Number.POSITIVE_INFINITY;
    const known = smallerM.get(set);
    if (known?.joints === best.size) return Math.min(known.leastM, ownM);
    let leastM = known?.leastM ?? spanM(set, 0, count, rejoinM);
    for (const [smaller, { lengthM }] of best) {
      if (lengthM < leastM && smaller !== set && (smaller & set) === smaller) {
        leastM = Math.min(leastM, lengthM + spanM(set, smaller, count, rejoinM));
      }
    }
    smallerM.set(set, { joints: best.size, leastM });
    return Math.min(leastM, ownM);
  };
}
