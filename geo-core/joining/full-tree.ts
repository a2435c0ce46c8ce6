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

/**
 * The points of the tree that is being laid (flat x, y) and of each the direction of the leg that goes on from it: room for the largest,
 * used again, since of twenty forms nineteen lay no tree.
 */
const POINTS = new Float64Array(64);
const DX = new Float64Array(32);
const DY = new Float64Array(32);

/** The tree with its places given: every branch point is where the ways back from its two branches meet. */
function layTree(
  form: readonly number[],
  turns: readonly number[],
  { places, ux, uy }: LeastSum,
): FullTree | undefined {
  const leaves = places.length / 2;
  POINTS.set(places);
  for (let leaf = 0; leaf < leaves; leaf++) {
    const [x, y] = turnedBack(turns[leaf], ux, uy);
    DX[leaf] = x;
    DY[leaf] = y;
  }
  const joined: number[] = [];
  const open: number[] = [];
  let leaf = 1;
  let count = leaves;
  for (const kind of form) {
    if (kind === 1) {
      open.push(leaf++);
      continue;
    }
    const b = open.pop();
    const a = open.pop();
    if (a === undefined || b === undefined) return undefined;
    const apartX = POINTS[2 * a] - POINTS[2 * b];
    const apartY = POINTS[2 * a + 1] - POINTS[2 * b + 1];
    const turn = DX[a] * DY[b] - DY[a] * DX[b];
    const alongA = (apartX * DY[b] - apartY * DX[b]) / turn;
    const alongB = (apartX * DY[a] - apartY * DX[a]) / turn;
    if (!(alongA > LEAST_LEG_M && alongB > LEAST_LEG_M)) return undefined;
    POINTS[2 * count] = POINTS[2 * a] - alongA * DX[a];
    POINTS[2 * count + 1] = POINTS[2 * a + 1] - alongA * DY[a];
    DX[count] = DX[a] + DX[b];
    DY[count] = DY[a] + DY[b];
    joined.push(a, b);
    open.push(count++);
  }
  const top = open[0];
  const legX = POINTS[2 * top] - POINTS[0];
  const legY = POINTS[2 * top + 1] - POINTS[1];
  if (legX * DX[top] + legY * DY[top] <= LEAST_LEG_M) return undefined;
  const legs = joined.map((point, k): [number, number] => [point, leaves + (k >> 1)]);
  legs.push([0, top]);
  const lengthM = legs.reduce(
    (sumM, [a, b]) => sumM + distanceM(POINTS[2 * a], POINTS[2 * a + 1], POINTS[2 * b], POINTS[2 * b + 1]),
    0,
  );
  return { points: POINTS.slice(0, 2 * count), legs, lengthM };
}
