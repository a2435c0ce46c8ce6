/**
 * The least wire that joins a few convex things, by trying everything: all full trees over all their corners and sides with Melzak's
 * directions, and all ways to put them together. No code of the planner. The optimum of a full tree ends at corners but for at most one
 * side, which its leg meets square (two sides would have to lie 60 degrees or a multiple apart, which drawn cases do not).
 */
export type Thing = readonly (readonly [x: number, y: number])[];
export type Box = readonly [minX: number, minY: number, maxX: number, maxY: number];

type Point = readonly [x: number, y: number];
type Tree = number | readonly [Tree, Tree];

const turnedBy = ([x, y]: Point, sixths: number): Point => {
  const angle = (sixths * Math.PI) / 3;
  return [x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle)];
};
const crossOf = ([ax, ay]: Point, [bx, by]: Point): number => ax * by - ay * bx;

/** `free` things must be joined, corners of the closed box may be bends. */
export function everyNetworkM(things: readonly Thing[], closed: Box | undefined, mostEnds: number): number {
  const corners: Thing[] = closed
    ? [[[closed[0], closed[1]]], [[closed[2], closed[1]]], [[closed[2], closed[3]]], [[closed[0], closed[3]]]]
    : [];
  const ends = [...things, ...corners];
  const joints: { readonly set: number; readonly lengthM: number }[] = [];
  for (let set = 1; set < 2 ** ends.length; set++) {
    const members = ends.map((_, k) => k).filter((k) => (set >> k) & 1);
    if (members.length < 2 || members.length > mostEnds) continue;
    const lengthM = fullTreeM(
      members.map((k) => ends[k]),
      closed,
    );
    if (lengthM < Number.POSITIVE_INFINITY) joints.push({ set, lengthM });
  }
  return leastM(joints, 2 ** things.length - 1);
}

/** All ways to hang joints together, each sharing one thing with what is joined already. */
function leastM(joints: readonly { readonly set: number; readonly lengthM: number }[], wanted: number): number {
  const bestM = new Map<number, number>([[1, 0]]);
  let foundM = Number.POSITIVE_INFINITY;
  const waiting = [1];
  for (let joined = waiting.pop(); joined !== undefined; joined = waiting.pop()) {
    const soFarM = bestM.get(joined) ?? 0;
    if ((joined & wanted) === wanted) foundM = Math.min(foundM, soFarM);
    for (const { set, lengthM } of joints) {
      const shared = set & joined;
      if (shared === 0 || (shared & (shared - 1)) !== 0) continue;
      const sumM = soFarM + lengthM;
      if (sumM >= Math.min(foundM, bestM.get(joined | set) ?? Number.POSITIVE_INFINITY) - 1e-12) continue;
      bestM.set(joined | set, sumM);
      waiting.push(joined | set);
    }
  }
  return foundM;
}

function fullTreeM(ends: readonly Thing[], closed: Box | undefined): number {
  if (ends.length === 2) return pairM(ends[0], ends[1], closed);
  let bestM = Number.POSITIVE_INFINITY;
  for (const tree of treesOver(ends.slice(1).map((_, k) => k + 1))) {
    for (let order = 0; order < 2 ** (ends.length - 2); order++) {
      const turns = new Array<number>(ends.length).fill(3);
      let branching = 0;
      const turn = (at: Tree, by: number): void => {
        if (typeof at === 'number') {
          turns[at] = by;
          return;
        }
        const side = (order >> branching++) & 1 ? 1 : -1;
        turn(at[0], by - side);
        turn(at[1], by + side);
      };
      turn(tree, 0);
      bestM = Math.min(bestM, overCornersM(ends, tree, turns, closed));
    }
  }
  return bestM;
}

/** Every corner of every end, and one side of one end with corners of the others. */
function overCornersM(ends: readonly Thing[], tree: Tree, turns: readonly number[], closed: Box | undefined): number {
  let bestM = Number.POSITIVE_INFINITY;
  const places: Point[] = [];
  const tryPlaces = (w: Point): void => {
    const lengthM = Math.hypot(...w);
    if (lengthM < 1e-9 || lengthM >= bestM) return;
    const u: Point = [w[0] / lengthM, w[1] / lengthM];
    const legs = legsOf(tree, places, turns, u);
    if (legs?.every(([a, b]) => isOpen(a, b, closed))) bestM = lengthM;
  };
  const trySides = (k: number, sum: Point): void => {
    const end = ends[k];
    for (const [i, a] of end.entries()) {
      const b = end[(i + 1) % end.length];
      if (end.length < 2 || (end.length === 2 && i === 1)) continue;
      const along = turnedBy([b[0] - a[0], b[1] - a[1]], turns[k]);
      const sideM2 = along[0] * along[0] + along[1] * along[1];
      const from = turnedBy(a, turns[k]);
      const share = -((sum[0] + from[0]) * along[0] + (sum[1] + from[1]) * along[1]) / sideM2;
      if (share <= 0 || share >= 1) continue;
      places[k] = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
      tryPlaces([sum[0] + from[0] + share * along[0], sum[1] + from[1] + share * along[1]]);
    }
  };
  const choose = (k: number, sum: Point, sideOf: number): void => {
    if (k === ends.length) {
      if (sideOf < 0) tryPlaces(sum);
      else trySides(sideOf, sum);
      return;
    }
    if (k === sideOf) {
      choose(k + 1, sum, sideOf);
      return;
    }
    for (const corner of ends[k]) {
      places[k] = corner;
      const [x, y] = turnedBy(corner, turns[k]);
      choose(k + 1, [sum[0] + x, sum[1] + y], sideOf);
    }
  };
  for (let sideOf = -1; sideOf < ends.length; sideOf++) choose(0, [0, 0], sideOf);
  return bestM;
}

/** The legs of a tree with legs in directions from its turns; undefined where one would run backwards. */
function legsOf(
  tree: Tree,
  places: readonly Point[],
  turns: readonly number[],
  u: Point,
): (readonly [Point, Point])[] | undefined {
  const legs: (readonly [Point, Point])[] = [];
  let isReal = true;
  const top = (at: Tree): { readonly point: Point; readonly way: Point } => {
    if (typeof at === 'number') return { point: places[at], way: turnedBy(u, -turns[at]) };
    const [a, b] = [top(at[0]), top(at[1])];
    const apart: Point = [a.point[0] - b.point[0], a.point[1] - b.point[1]];
    const turn = crossOf(a.way, b.way);
    const [alongA, alongB] = [crossOf(apart, b.way) / turn, crossOf(apart, a.way) / turn];
    if (!(alongA > 1e-6 && alongB > 1e-6)) isReal = false;
    const point: Point = [a.point[0] - alongA * a.way[0], a.point[1] - alongA * a.way[1]];
    legs.push([a.point, point], [b.point, point]);
    return { point, way: [a.way[0] + b.way[0], a.way[1] + b.way[1]] };
  };
  const { point, way } = top(tree);
  legs.push([places[0], point]);
  const onM = (point[0] - places[0][0]) * way[0] + (point[1] - places[0][1]) * way[1];
  return isReal && onM > 1e-6 ? legs : undefined;
}

/** All trees that join leaves by twos: the next leaf goes on any leg. */
function treesOver(leaves: readonly number[]): Tree[] {
  if (leaves.length === 1) return [leaves[0]];
  const last = leaves[leaves.length - 1];
  const withLast = (tree: Tree): Tree[] => {
    const here: Tree[] = [[tree, last]];
    if (typeof tree === 'number') return here;
    const [a, b] = tree;
    return [...here, ...withLast(a).map((each): Tree => [each, b]), ...withLast(b).map((each): Tree => [a, each])];
  };
  return treesOver(leaves.slice(0, -1)).flatMap(withLast);
}

function pairM(p: Thing, q: Thing, closed: Box | undefined): number {
  let bestM = Number.POSITIVE_INFINITY;
  const consider = (a: Point, b: Point): void => {
    if (isOpen(a, b, closed)) bestM = Math.min(bestM, Math.hypot(a[0] - b[0], a[1] - b[1]));
  };
  const feet = (from: Thing, to: Thing): void => {
    for (const point of from) {
      for (const [i, a] of to.entries()) {
        const b = to[(i + 1) % to.length];
        const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
        const squared = dx * dx + dy * dy;
        const share = squared === 0 ? 0 : ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / squared;
        const t = Math.min(1, Math.max(0, share));
        consider(point, [a[0] + t * dx, a[1] + t * dy]);
      }
    }
  };
  feet(p, q);
  feet(q, p);
  return bestM;
}

/** Whether a leg stays out of the inside of a box. */
function isOpen([ax, ay]: Point, [bx, by]: Point, closed: Box | undefined): boolean {
  if (closed === undefined) return true;
  let [from, to] = [0, 1];
  for (const [start, step, low, high] of [
    [ax, bx - ax, closed[0], closed[2]],
    [ay, by - ay, closed[1], closed[3]],
  ]) {
    if (Math.abs(step) < 1e-12) {
      if (start <= low + 1e-9 || start >= high - 1e-9) return true;
      continue;
    }
    const [s, t] = [(low - start) / step, (high - start) / step];
    from = Math.max(from, Math.min(s, t));
    to = Math.min(to, Math.max(s, t));
  }
  return to - from < 1e-9;
}
