import Flatbush from 'flatbush';
import { type Chain, chainsApartM, type Leg, shortestLeg } from '#geo-core/plane/chain.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { minHeap } from '#geo-core/plane/min-heap.ts';
import type { Visibility } from '#geo-core/plane/visibility.ts';
import { type Reached, wavefront } from '#geo-core/plane/wavefront.ts';
import type { Joint } from './joint.ts';
import { groupsOf } from './least-tree.ts';

/** The shortest straight leg between two loops by index, a < b, each reckoned once. */
export type Legs = (a: number, b: number) => Leg;

export function legsBetween(loops: readonly Chain[]): Legs {
  const known = new Map<number, Leg>();
  return (a, b) => {
    const pair = a * loops.length + b;
    const leg = known.get(pair) ?? shortestLeg(loops[a], loops[b]);
    known.set(pair, leg);
    return leg;
  };
}

/** First width looked at for neighbours, metres; doubled from there. */
const FIRST_WIDTH_M = 2;

/**
 * A least spanning tree of the shortest ways between loops, the shortest first (Kruskal 1956, from memory), as long as these are
 * straight: undefined where something stands in the way of one.
 */
export function straightTree(loops: readonly Chain[], legs: Legs, ground: Visibility): Joint[] | undefined {
  const groups = groupsOf(loops.length);
  const joints: Joint[] = [];
  const waiting = minHeap<readonly [a: number, b: number, leg: Leg | undefined]>();
  const boxes = boxesOf(loops);
  for (let widthM = FIRST_WIDTH_M, seenM = -1; joints.length < loops.length - 1; seenM = widthM, widthM *= 2) {
    neighbours(loops, boxes, seenM, widthM, (a, b, apartM) => {
      if (groups.of(a) !== groups.of(b)) waiting.push(apartM, [a, b, undefined]);
    });
    while ((waiting.leastKey() ?? Number.POSITIVE_INFINITY) <= widthM) {
      const next = waiting.pop();
      if (next === undefined) break;
      const [a, b, leg] = next;
      if (groups.of(a) === groups.of(b)) continue;
      if (leg === undefined) {
        const found = legs(a, b);
        waiting.push(found.distanceM, [a, b, found]);
        continue;
      }
      if (!ground.sees(leg.ax, leg.ay, leg.bx, leg.by, true, true)) return undefined;
      groups.join(a, b);
      joints.push(jointOf(a, b, leg, loops));
    }
  }
  return joints;
}

/** Pairs a < b whose boxes are more than `seenM` and at most `widthM` apart. */
function neighbours(
  loops: readonly Chain[],
  boxes: Flatbush,
  seenM: number,
  widthM: number,
  visit: (a: number, b: number, apartM: number) => void,
): void {
  for (let a = 0; a < loops.length; a++) {
    const [minX, minY, maxX, maxY] = loops[a].boxes.subarray(4, 8);
    const near = boxes.search(minX - widthM, minY - widthM, maxX + widthM, maxY + widthM, (b) => b > a);
    for (const b of near.sort((p, q) => p - q)) {
      const apartM = chainsApartM(loops[a], loops[b]);
      if (apartM > seenM && apartM <= widthM) visit(a, b, apartM);
    }
  }
}

function boxesOf(loops: readonly Chain[]): Flatbush {
  const boxes = new Flatbush(loops.length);
  for (const chain of loops) boxes.add(chain.boxes[4], chain.boxes[5], chain.boxes[6], chain.boxes[7]);
  boxes.finish();
  return boxes;
}

function jointOf(a: number, b: number, leg: Leg, loops: readonly Chain[]): Joint {
  return {
    loops: [a, b],
    points: Float64Array.of(leg.ax, leg.ay, leg.bx, leg.by),
    legs: [[0, 1]],
    lengthM: leg.distanceM,
    edges: [loops[a].edges[leg.from], loops[b].edges[leg.to]],
  };
}

/** The same tree by ways that bend round obstacles, grown from loop 0 (Prim 1957, from memory), as far as there are ways. */
export function bentTree(loops: readonly Chain[], ground: Visibility): Joint[] {
  const front = wavefront(ground, loops.slice(1));
  front.spread(loops[0]);
  const indexOf = new Map(loops.map(({ owner }, index) => [owner, index]));
  const joints: Joint[] = [];
  for (let reached = front.reach(); reached !== undefined; reached = front.reach()) {
    const [from, to] = [indexOf.get(reached.from.owner), indexOf.get(reached.to.owner)];
    if (from === undefined || to === undefined) continue;
    joints.push(wayBetween(from, to, reached));
    front.spread(loops[to]);
  }
  return joints;
}

/** A way as a joint: its two places first, then its bends. */
export function wayBetween(from: number, to: number, { line, from: fromPiece, to: toPiece }: Reached): Joint {
  const last = line.length / 2 - 1;
  const points = Float64Array.of(...line.subarray(0, 2), ...line.subarray(2 * last), ...line.subarray(2, 2 * last));
  const order = [0, ...Array.from({ length: last - 1 }, (_, k) => k + 2), 1];
  return {
    loops: [from, to],
    points,
    legs: order.slice(1).map((point, k): [number, number] => [order[k], point]),
    lengthM: lineLengthM(line),
    edges: [fromPiece.edge, toPiece.edge],
  };
}
