import Flatbush from 'flatbush';
import { type Chain, chainsApartM } from '#geo-core/plane/chain.ts';
import { type ApartM, branchRatio, groupsOf, type Link, treeOf } from './least-tree.ts';

/** First width looked at for neighbours, metres; doubled from there. */
const FIRST_WIDTH_M = 1;

/**
 * Least length that any network joining these loops can have, metres, however it branches: the largest of these bounds.
 *
 * Moats (Jünger and Pulleyblank 1993, from memory): every loop but the first grows a moat around it, all as fast; moats that
 * meet grow on as one and stop at the first loop. Every network crosses each moat, so the widths add up to a bound. The first
 * loop may grow as well.
 *
 * A network taken apart at the loops is a set of joints that touch every loop in one point, so the ratio of least trees with and
 * without branch points in the plane holds for it, times the least spanning tree over the straight distances.
 */
export function leadBoundM(loops: readonly Chain[], apartM: ApartM): number {
  const straight = linksBetween(loops, apartM);
  const still = treeOf(
    straight.map(({ a, b, lengthM }) => ({ a, b, lengthM: a === 0 ? lengthM : lengthM / 2 })),
    loops.length,
  );
  const growing = treeOf(straight, loops.length);
  const longestM = growing[growing.length - 1]?.lengthM ?? 0;
  return Math.max(branchRatio(loops.length) * sumM(growing), sumM(still), (sumM(growing) + longestM) / 2);
}

const sumM = (links: readonly Link[]): number => links.reduce((sum, { lengthM }) => sum + lengthM, 0);

/**
 * Links enough for every tree that is asked for: the first loop's to all others, and a least spanning tree over the others as far
 * as they are not twice as far from each other as from the first loop. a < b.
 */
function linksBetween(loops: readonly Chain[], apartM: ApartM): Link[] {
  const link = (a: number, b: number): Link => ({ a, b, lengthM: apartM(a, b) });
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

function boxesOf(loops: readonly Chain[]): Flatbush {
  const boxes = new Flatbush(loops.length);
  for (const chain of loops) boxes.add(chain.boxes[4], chain.boxes[5], chain.boxes[6], chain.boxes[7]);
  boxes.finish();
  return boxes;
}
