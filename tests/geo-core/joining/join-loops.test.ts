import { describe, expect, test } from 'vitest';
import { joinLoops } from '#geo-core/joining/join-loops.ts';
import { type Chain, chainFrom } from '#geo-core/plane/chain.ts';
import { type Visibility, visibility } from '#geo-core/plane/visibility.ts';
import { seededRandom } from '../../bench/statistics.ts';
import { type Box, everyNetworkM, type Thing } from '../../support/every-network.ts';
import { rectangle } from '../../support/golden-garden.ts';
import { polygonOf } from '../../support/joined-gardens.ts';

type Case = { readonly things: readonly Thing[]; readonly closed?: Box };

/** Convex things of so many corners in a field of 20 x 20 m, at least 0.3 m apart and off the closed box. */
function drawn(random: () => number, count: number, corners: number, closed?: Box): Case {
  const discs: { x: number; y: number; r: number }[] = [];
  while (discs.length < count) {
    const disc = { x: 20 * random(), y: 20 * random(), r: 0.3 + 1.2 * random() };
    const isFree = discs.every(({ x, y, r }) => Math.hypot(x - disc.x, y - disc.y) > r + disc.r + 0.3);
    const boxM = closed === undefined ? 9 : boxOffM(closed, disc.x, disc.y);
    if (isFree && boxM > disc.r + 0.3) discs.push(disc);
  }
  const things = discs.map(({ x, y, r }): Thing => {
    const start = 2 * Math.PI * random();
    return Array.from({ length: corners }, (_, k): [number, number] => {
      const angle = start + (2 * Math.PI * (k + 0.7 * random())) / corners;
      return [x + r * Math.cos(angle), y + r * Math.sin(angle)];
    });
  });
  return closed === undefined ? { things } : { things, closed };
}

function boxOffM([minX, minY, maxX, maxY]: Box, x: number, y: number): number {
  return Math.hypot(Math.max(0, minX - x, x - maxX), Math.max(0, minY - y, y - maxY));
}

function chainOf(thing: Thing, k: number): Chain {
  const pieces = thing.length === 2 ? 1 : thing.length;
  const at = Float64Array.from({ length: 4 * pieces }, (_, i) => {
    const [a, b] = [thing[i >> 2], thing[((i >> 2) + 1) % thing.length]];
    return [a[0], a[1], b[0], b[1]][i & 3];
  });
  return chainFrom(`loop-${k}`, at, new Int32Array(pieces), new Float64Array(pieces));
}

function groundOf({ things, closed }: Case): Visibility {
  const field = rectangle(-30, -30, 50, 50);
  const holes = closed === undefined ? [] : [rectangle(...closed)];
  const walls = things.filter(({ length }) => length > 2).map((thing) => Float64Array.from(thing.flat()));
  return visibility([polygonOf(field, ...holes)], walls, true);
}

function joinedM(each: Case): { readonly lengthM: number; readonly leastM: number } {
  const { joints, leastM } = joinLoops(each.things.map(chainOf), groundOf(each));
  return { lengthM: joints.reduce((sum, { lengthM }) => sum + lengthM, 0), leastM };
}

describe('the least network against trying everything, 2,000 drawn cases', () => {
  test.each([
    { name: 'three loops of five corners', cases: 500, count: 3, corners: 5, closed: false, mostEnds: 3 },
    { name: 'four loops of three corners', cases: 600, count: 4, corners: 3, closed: false, mostEnds: 4 },
    { name: 'five straight stretches', cases: 500, count: 5, corners: 2, closed: false, mostEnds: 5 },
    { name: 'two loops and closed ground', cases: 100, count: 2, corners: 4, closed: true, mostEnds: 4 },
    { name: 'three loops and closed ground', cases: 300, count: 3, corners: 3, closed: true, mostEnds: 4 },
  ])(
    '$name: the same length to a micrometre, and the bound is the length',
    (kind) => {
      const random = seededRandom(7000 + kind.count * 10 + kind.corners);
      for (let k = 0; k < kind.cases; k++) {
        const [x, y] = [4 + 8 * random(), 4 + 8 * random()];
        const box: Box = [x, y, x + 1 + 5 * random(), y + 1 + 5 * random()];
        const each = drawn(random, kind.count, kind.corners, kind.closed ? box : undefined);
        const { lengthM, leastM } = joinedM(each);
        const message = `${k}: ${JSON.stringify(each)}`;
        expect(Math.abs(lengthM - everyNetworkM(each.things, each.closed, kind.mostEnds)), message).toBeLessThan(1e-6);
        expect(leastM, message).toBe(lengthM);
      }
    },
    120_000,
  );
});
