import { distanceM } from '#geo-core/plane/measure.ts';
import { type LeastSum, leastTurnedSum, turnedBack } from './turned-sum.ts';

/** A tree of straight legs; the first points are the places, root first, the others branch points. Flat x, y. */
export type FullTree = {
  readonly points: Float64Array;
  readonly legs: readonly (readonly [number, number])[];
  readonly lengthM: number;
};

/** A leg shorter than this is none, metres. */
const LEAST_LEG_M = 1e-6;

/**
 * The shortest full tree that ends in each of these convex sets (the root's first) with a leg in the given direction: all its
 * legs run in three directions 120 degrees apart. `turns`: by how many sixths of a turn back the leg to each set runs in
 * a direction that is free. `form`: the leaves after the root in their order, joined by twos: 1 a leaf, 0 the joining of the last two.
 *
 *     form 1 1 0 1 0 :    leaf 1   leaf 2
 *                              \ /
 *                               +     leaf 3
 *                                \   /
 *                                  +----- root
 *
 * The length of a full tree is that of the sum of its places, each turned back by its way (Melzak 1961, from memory). 'long' where
 * all such trees have `mostM` and more; 'none' where the shortest of that form has a leg of no length and is made of smaller trees.
 */
export function shortestFullTree(
  form: readonly number[],
  turns: readonly number[],
  sets: readonly { readonly corners: Float64Array }[],
  mostM: number,
): FullTree | 'long' | 'none' {
  const sum = leastTurnedSum(sets, turns, mostM);
  if (sum === undefined) return 'long';
  return (sum.lengthM > 0 ? layTree(form, turns, sum) : undefined) ?? 'none';
}

/** The tree with its places given: every branch point is where the ways back from its two branches meet. */
function layTree(
  form: readonly number[],
  turns: readonly number[],
  { places, ux, uy }: LeastSum,
): FullTree | undefined {
  const leaves = places.length / 2;
  const points = [...places];
  // Of every point the direction of the leg that goes on from it; of every branch point the two points that it joins.
  const dx: number[] = [];
  const dy: number[] = [];
  for (let leaf = 0; leaf < leaves; leaf++) {
    const [x, y] = turnedBack(turns[leaf], ux, uy);
    dx.push(x);
    dy.push(y);
  }
  const joined: number[] = [];
  const open: number[] = [];
  let leaf = 1;
  for (const kind of form) {
    if (kind === 1) {
      open.push(leaf++);
      continue;
    }
    const b = open.pop();
    const a = open.pop();
    if (a === undefined || b === undefined) return undefined;
    const apartX = points[2 * a] - points[2 * b];
    const apartY = points[2 * a + 1] - points[2 * b + 1];
    const turn = dx[a] * dy[b] - dy[a] * dx[b];
    const alongA = (apartX * dy[b] - apartY * dx[b]) / turn;
    const alongB = (apartX * dy[a] - apartY * dx[a]) / turn;
    if (!(alongA > LEAST_LEG_M && alongB > LEAST_LEG_M)) return undefined;
    open.push(dx.length);
    points.push(points[2 * a] - alongA * dx[a], points[2 * a + 1] - alongA * dy[a]);
    joined.push(a, b);
    dx.push(dx[a] + dx[b]);
    dy.push(dy[a] + dy[b]);
  }
  const top = open[0];
  const [legX, legY] = [points[2 * top] - points[0], points[2 * top + 1] - points[1]];
  if (legX * dx[top] + legY * dy[top] <= LEAST_LEG_M) return undefined;
  const legs = joined.map((point, k): [number, number] => [point, leaves + (k >> 1)]);
  legs.push([0, top]);
  const lengthM = legs.reduce(
    (sumM, [a, b]) => sumM + distanceM(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]),
    0,
  );
  return { points: new Float64Array(points), legs, lengthM };
}
