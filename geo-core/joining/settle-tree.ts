import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { type FullTree, shortestFullTree } from './full-tree.ts';
import type { Joint } from './joint.ts';
import { type LegEnd, legEnd } from './leg-ends.ts';

/** A place this far off its loop is none, metres. */
const OFF_M = 1e-7;

/** Full trees of one form with the turns of their legs, as `shortestFullTree` takes them. */
export type TreeForm = { readonly form: readonly number[]; readonly turns: readonly number[] };

export type Settling = {
  /** Trees as long as this are of no use, metres; asked anew for each. */
  readonly mostM: () => number;
  readonly isClear: (joint: Joint) => boolean;
  readonly take: (joint: Joint) => void;
  /** False once enough has been tried. */
  readonly mayTry: () => boolean;
};

/**
 * The shortest clear full tree of a form, root first, handed to `take` as far as it is shorter than `mostM` tells at the time. The tree is
 * looked for on the hulls of the ends; where a place of it is on no piece, or the tree will not do, an end that is not its own
 * hull is halved and both halves are tried.
 */
export function settleTree(form: TreeForm, ends: readonly LegEnd[], settling: Settling): void {
  const { mostM, isClear, take, mayTry } = settling;
  if (!mayTry()) return;
  const tree = shortestFullTree(form.form, form.turns, ends, mostM());
  if (tree === 'long') return;
  let split = -1;
  if (tree !== 'none') {
    const edges = edgesUnder(tree, ends);
    split = edges.indexOf(-1);
    if (split < 0) {
      const joint = { ...tree, edges, loops: ends.map(({ member }) => member) };
      if (isClear(joint)) {
        take(joint);
        return;
      }
    }
  }
  if (split < 0) split = widest(ends);
  if (split < 0) return;
  const { member, parts } = ends[split];
  const middle = parts.length >> 1;
  settleTree(form, ends.with(split, legEnd(member, parts.slice(0, middle))), settling);
  settleTree(form, ends.with(split, legEnd(member, parts.slice(middle))), settling);
}

/** The end of most parts that is not its own hull, or -1. */
function widest(ends: readonly LegEnd[]): number {
  let found = -1;
  for (let k = 0; k < ends.length; k++) {
    const { isConvex, parts } = ends[k];
    if (!isConvex && (found < 0 || parts.length > ends[found].parts.length)) found = k;
  }
  return found;
}

/** The edges that the places of a tree are on; -1 where one is off its end, on the chord of a run. */
function edgesUnder({ points }: FullTree, ends: readonly LegEnd[]): number[] {
  return ends.map(({ parts }, k) => {
    const [x, y] = [points[2 * k], points[2 * k + 1]];
    const under = parts.find(({ at }) => {
      const last = at.length - 2;
      return pointSegmentM(x, y, at[0], at[1], at[last], at[last + 1]) <= OFF_M;
    });
    return under?.edge ?? -1;
  });
}
