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
 * The shortest full tree that ends in each of these convex sets (flat corners; the root's first) with a leg in the given direction: all its
 * legs run in three directions 120 degrees apart. `ways`: the direction of the leg to each set by sixths of a turn, from
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
  ways: readonly number[],
  sets: readonly Float64Array[],
  mostM: number,
): FullTree | 'long' | 'none' {
  const turns = ways.map((way) => (6 - way) % 6);
  const sum = leastTurnedSum(sets, turns, mostM);
  if (sum === undefined) return 'long';
  return (sum.lengthM > 0 ? layTree(form, turns, sum) : undefined) ?? 'none';
}

/** The tree with its places given: every branch point is where the ways back from its two branches meet. */
function layTree(form: readonly number[], turns: readonly number[], sum: LeastSum): FullTree | undefined {
  const points = [...sum.places];
  const legs: [number, number][] = [];
  const open: { readonly point: number; readonly dx: number; readonly dy: number }[] = [];
  let leaf = 1;
  for (const kind of form) {
    if (kind === 1) {
      const [dx, dy] = turnedBack(turns[leaf], sum.ux, sum.uy);
      open.push({ point: leaf++, dx, dy });
      continue;
    }
    const b = open.pop();
    const a = open.pop();
    if (a === undefined || b === undefined) return undefined;
    const apartX = points[2 * a.point] - points[2 * b.point];
    const apartY = points[2 * a.point + 1] - points[2 * b.point + 1];
    const turn = a.dx * b.dy - a.dy * b.dx;
    const alongA = (apartX * b.dy - apartY * b.dx) / turn;
    const alongB = (apartX * a.dy - apartY * a.dx) / turn;
    if (!(alongA > LEAST_LEG_M && alongB > LEAST_LEG_M)) return undefined;
    const point = points.length / 2;
    points.push(points[2 * a.point] - alongA * a.dx, points[2 * a.point + 1] - alongA * a.dy);
    legs.push([a.point, point], [b.point, point]);
    open.push({ point, dx: a.dx + b.dx, dy: a.dy + b.dy });
  }
  const top = open[0];
  const [legX, legY] = [points[2 * top.point] - points[0], points[2 * top.point + 1] - points[1]];
  if (legX * top.dx + legY * top.dy <= LEAST_LEG_M) return undefined;
  legs.push([0, top.point]);
  const lengthM = legs.reduce(
    (sumM, [a, b]) => sumM + distanceM(points[2 * a], points[2 * a + 1], points[2 * b], points[2 * b + 1]),
    0,
  );
  return { points: Float64Array.from(points), legs, lengthM };
}
