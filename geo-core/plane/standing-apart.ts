import type { Ring } from '#geo-core/model/position.ts';
import { ringSegments } from './box-index.ts';
import { boxOf, pointInRing } from './polygons.ts';
import { segmentSegmentM } from './segment.ts';
import { type SegmentTree, segmentTree, someSegment } from './segment-tree.ts';

export type StandingApart = {
  /** Outlines inside the ground with nothing nearer than the gap. */
  readonly apart: readonly Ring[];
  /** Outlines that touch, hold or come near another one or the ground's own rings. */
  readonly near: readonly Ring[];
};

/**
 * Simple outlines of things that stand on ground -> those with nothing nearer than gapM round them and those with something.
 * Outlines off the ground and away from its rings are left out. Rings of the ground bound it on their left and do not cross.
 */
export function standingApart(ground: readonly Ring[], outlines: readonly Ring[], gapM: number): StandingApart {
  const rings = [...ground, ...outlines];
  const tree = segmentTree(ringSegments(rings));
  const ringOf = new Int32Array(tree.count);
  let k = 0;
  rings.forEach((ring, r) => {
    ringOf.fill(r, k, k + ring.length / 2);
    k += ring.length / 2;
  });
  const isNear = new Uint8Array(rings.length);
  outlines.forEach((outline, i) => {
    const own = ground.length + i;
    const [minX, minY, maxX, maxY] = boxOf(outline);
    someSegment(tree, minX - gapM, minY - gapM, maxX + gapM, maxY + gapM, (segment) => {
      const other = ringOf[segment];
      if (other === own || (isNear[own] === 1 && isNear[other] === 1)) return false;
      if (comesNear(tree.at, 4 * segment, outline, gapM)) isNear[own] = isNear[other] = 1;
      return false;
    });
  });
  const groundSegments = ground.reduce((sum, ring) => sum + ring.length / 2, 0);
  const isOnGround = ([x, y]: Ring) => isInside(tree, groundSegments, x, y);
  return {
    apart: outlines.filter((outline, i) => isNear[ground.length + i] === 0 && isOnGround(outline)),
    near: outlines.filter((_, i) => isNear[ground.length + i] === 1),
  };
}

/** Whether a segment begins inside an outline or comes nearer than gapM to it. */
function comesNear(at: Float64Array, k: number, outline: Ring, gapM: number): boolean {
  const [ax, ay, bx, by] = [at[k], at[k + 1], at[k + 2], at[k + 3]];
  const [minX, maxX] = [Math.min(ax, bx) - gapM, Math.max(ax, bx) + gapM];
  const [minY, maxY] = [Math.min(ay, by) - gapM, Math.max(ay, by) + gapM];
  let [cx, cy] = [outline[outline.length - 2], outline[outline.length - 1]];
  for (let i = 0; i < outline.length; i += 2) {
    const [dx, dy] = [outline[i], outline[i + 1]];
    const isFar =
      (cx < minX && dx < minX) || (cx > maxX && dx > maxX) || (cy < minY && dy < minY) || (cy > maxY && dy > maxY);
    if (!isFar && segmentSegmentM(ax, ay, bx, by, cx, cy, dx, dy) < gapM) return true;
    [cx, cy] = [dx, dy];
  }
  return pointInRing(outline, ax, ay);
}

/** Even-odd: how often a ray to the east crosses the first segments of the tree. */
function isInside(tree: SegmentTree, count: number, x: number, y: number): boolean {
  const { at } = tree;
  let inside = false;
  someSegment(tree, x, y, Number.POSITIVE_INFINITY, y, (segment) => {
    if (segment >= count) return true;
    const k = 4 * segment;
    const [ax, ay, bx, by] = [at[k], at[k + 1], at[k + 2], at[k + 3]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
    return false;
  });
  return inside;
}
