import type { Bay, KeepOut } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { areSameRings, pointInRing, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';
import { type SegmentTree, segmentTree, someSegment } from '#geo-core/plane/segment-tree.ts';

/** Ground taken from the working area is worth a word from this size, square metres. */
const WORTH_SAYING_M2 = 0.05;
/** Narrower strips between ground and working area are arcs drawn twice: they would hang places together that lie far apart, metres. */
const HAIRLINE_M = 0.000_5;
/** Ground this near a grown keep-out was taken for its sake, metres. */
const BESIDE_M = 0.02;

export type GroundTaken = {
  /** What the boundary wire goes around for the sake of keep-outs: polygon and pointers. */
  readonly bays: readonly Omit<Bay, 'id' | 'arrangement'>[];
  /** What is too narrow by itself. */
  readonly narrow: readonly Polygon[];
};

/** Ground inside the boundary wire before and after keep-outs and narrow places -> what the boundary wire gave up, and what for. */
export function groundTaken(
  ground: readonly Polygon[],
  areas: readonly Polygon[],
  keepOuts: readonly KeepOut[],
  gridM: number,
): GroundTaken {
  const isKept = (one: Polygon, others: readonly Polygon[]) =>
    others.some(({ outer }) => areSameRings(one.outer, outer));
  const changed = ground.filter((polygon) => !isKept(polygon, areas));
  if (changed.length === 0) return { bays: [], narrow: [] };
  const outers = areas.filter((polygon) => !isKept(polygon, ground)).map(({ outer }) => outer);
  const grown = kernel().offset(outers, HAIRLINE_M, gridM);
  const taken = polygonsFromRings(kernel().difference(ringsOf(changed), grown, gridM)).filter(
    (polygon) => polygonAreaM2(polygon) >= WORTH_SAYING_M2,
  );
  const bays: Omit<Bay, 'id' | 'arrangement'>[] = [];
  const narrow: Polygon[] = [];
  for (const polygon of taken) {
    const tree = segmentTree(ringSegments([polygon.outer]));
    const around = keepOuts
      .filter((keepOut) => standsBeside(keepOut, polygon.outer, tree))
      .map(({ feature }) => feature.pointer);
    if (around.length > 0) bays.push({ polygon, around });
    else narrow.push(polygon);
  }
  return { bays, narrow };
}

/** Whether a keep-out stands in a ring or right beside it. */
function standsBeside({ polygons, offsetM }: KeepOut, ring: Ring, tree: SegmentTree): boolean {
  const reachM = offsetM + BESIDE_M;
  return polygons.some(({ outer }) => {
    let [x, y] = [outer[outer.length - 2], outer[outer.length - 1]];
    for (let i = 0; i < outer.length; i += 2) {
      const [ax, ay] = [x, y];
      [x, y] = [outer[i], outer[i + 1]];
      const [bx, by] = [x, y];
      const isNear = someSegment(
        tree,
        Math.min(ax, bx) - reachM,
        Math.min(ay, by) - reachM,
        Math.max(ax, bx) + reachM,
        Math.max(ay, by) + reachM,
        (segment) => {
          const [cx, cy, dx, dy] = tree.at.subarray(4 * segment, 4 * segment + 4);
          return segmentSegmentM(ax, ay, bx, by, cx, cy, dx, dy) <= reachM;
        },
      );
      if (isNear) return true;
    }
    return pointInRing(ring, x, y);
  });
}
