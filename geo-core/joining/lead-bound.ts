import Flatbush from 'flatbush';
import { type Chain, chainsApartM } from '#geo-core/plane/chain.ts';

/** Straight distance between two loops by index, a < b, metres. */
export type ApartM = (a: number, b: number) => number;

type Link = { readonly a: number; readonly b: number; readonly lengthM: number };

/** First width looked at for neighbours, metres; doubled from there. */
const FIRST_WIDTH_M = 1;

/**
 * Least length that any network joining these loops can have, metres, however it branches: the larger of two bounds.
 *
 * Moats (Jünger and Pulleyblank 1993, from memory): every loop but the first grows a moat around it, all as fast; moats that
 * meet grow on as one and stop at the first loop. Every network crosses each moat, so the widths add up to a bound. The first
 * loop may grow as well.
 *
 * A network taken apart at the loops is a set of trees that touch every loop in one point, so the ratio of least trees with
 * and without branch points in the plane holds for it: sqrt(3) / 2 for up to six points (Rubinstein and Thomas 1991), 0.8241
 * for any (Chung and Graham 1985; both from memory), times the least spanning tree over the straight distances.
 *
 * `stepsM[k]`: every way from the first k + 1 loops to the others is known to be at least this long, metres.
 */
export function leadBoundM(loops: readonly Chain[], apartM: ApartM, stepsM: readonly number[]): number {
  const straight = linksBetween(loops, apartM, []);
  const known = stepsM.some((stepM, k) => isLonger(straight, k, stepM))
    ? linksBetween(loops, apartM, stepsM)
    : straight;
  const ratio = loops.length <= 6 ? Math.sqrt(3) / 2 : 0.8241;
  const still = treeOf(
    known.map(({ a, b, lengthM }) => ({ a, b, lengthM: a === 0 ? lengthM : lengthM / 2 })),
    loops.length,
  );
  const growing = treeOf(known, loops.length);
  const longestM = growing[growing.length - 1]?.lengthM ?? 0;
  return Math.max(ratio * sumM(treeOf(straight, loops.length)), sumM(still), (sumM(growing) + longestM) / 2);
}

const sumM = (links: readonly Link[]): number => links.reduce((sum, { lengthM }) => sum + lengthM, 0);

const isLonger = (links: readonly Link[], step: number, stepM: number): boolean =>
  links.some(({ a, b, lengthM }) => a <= step && b > step && lengthM < stepM - 1e-9);

/** The links of a least spanning tree, the shortest first (Kruskal 1956, from memory). */
export function treeOf(links: readonly Link[], count: number): Link[] {
  const groups = groupsOf(count);
  return links.toSorted((p, q) => p.lengthM - q.lengthM).filter(({ a, b }) => groups.join(a, b));
}

/**
 * Links enough for every tree that is asked for: the first loop's to all others, and a least spanning tree over the others as far
 * as they are not twice as far from each other as from the first loop. a < b.
 */
function linksBetween(loops: readonly Chain[], apartM: ApartM, stepsM: readonly number[]): Link[] {
  const far = (a: number, b: number): number => {
    let mostM = 0;
    for (let k = a; k < b && k < stepsM.length; k++) mostM = Math.max(mostM, stepsM[k]);
    return mostM;
  };
  const link = (a: number, b: number): Link => ({
    a,
    b,
    lengthM: Math.max(apartM(a, b), far(a, b)),
  });
  const toFirst = loops.slice(1).map((_, k) => link(0, k + 1));
  const nearestFirstM = [Infinity, ...toFirst.map(({ lengthM }) => lengthM)];
  const groups = groupsOf(loops.length, nearestFirstM);
  const kept: Link[] = [];
  let waiting: Link[] = [];
  const boxes = boxesOf(loops);
  for (let widthM = FIRST_WIDTH_M, seenM = -1; ; seenM = widthM, widthM *= 2) {
    const open = toFirst.filter(({ b }) => groups.leastM(b) > widthM / 4);
    if (open.length === 0) return [...toFirst, ...kept];
    for (const { b } of open) {
      const [minX, minY, maxX, maxY] = loops[b].boxes.subarray(4, 8);
      for (const other of boxes.search(minX - widthM, minY - widthM, maxX + widthM, maxY + widthM)) {
        const twice = other < b && groups.leastM(other) > widthM / 4;
        if (other === 0 || other === b || twice || groups.of(other) === groups.of(b)) continue;
        const boxesM = chainsApartM(loops[b], loops[other]);
        if (boxesM > seenM && boxesM <= widthM) waiting.push(link(Math.min(b, other), Math.max(b, other)));
      }
    }
    const ready = waiting.filter(({ lengthM }) => lengthM <= widthM).toSorted((p, q) => p.lengthM - q.lengthM);
    waiting = waiting.filter(({ lengthM }) => lengthM > widthM);
    for (const each of ready) if (groups.join(each.a, each.b)) kept.push(each);
  }
}

type Groups = {
  of(item: number): number;
  /** The least value of any item in the group of this one. */
  leastM(item: number): number;
  /** Whether the two were in different groups. */
  join(a: number, b: number): boolean;
};

function groupsOf(count: number, valuesM: readonly number[] = []): Groups {
  const parent = Int32Array.from({ length: count }, (_, item) => item);
  const leastM = [...valuesM];
  const of = (item: number): number => {
    let at = item;
    while (parent[at] !== at) {
      parent[at] = parent[parent[at]];
      at = parent[at];
    }
    return at;
  };
  return {
    of,
    leastM: (item) => leastM[of(item)],
    join(a, b) {
      const [p, q] = [of(a), of(b)];
      if (p === q) return false;
      parent[q] = p;
      leastM[p] = Math.min(leastM[p], leastM[q]);
      return true;
    },
  };
}

function boxesOf(loops: readonly Chain[]): Flatbush {
  const boxes = new Flatbush(loops.length);
  for (const chain of loops) boxes.add(chain.boxes[4], chain.boxes[5], chain.boxes[6], chain.boxes[7]);
  boxes.finish();
  return boxes;
}
