import { cross, parameterOnSegment, segmentsCross } from './segment.ts';
import { type SegmentTree, someSegment } from './segment-tree.ts';

/** An edge looks at another one from its middle and from this far inside its ends, where its neighbours begin; metres. */
const INSIDE_M = 1e-4;
/** Sight begins and ends this share of the way before both edges. */
const SHORT_SHARE = 0.001;

/** Whether two edges see each other over the ground on the left of both, from places nearer than withinM, past all other edges. */
export function faceEachOther(tree: SegmentTree, i: number, j: number, withinM: number): boolean {
  const looks = (edge: number, other: number): boolean => {
    const [ax, ay, bx, by] = tree.at.subarray(4 * edge, 4 * edge + 4);
    const inside = Math.min(0.1, INSIDE_M / Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay)));
    return [inside, 0.5, 1 - inside].some((share) => sees(tree, edge, other, share, withinM));
  };
  return looks(i, j) || looks(j, i);
}

/** Whether the place at a share of edge i sees the nearest place of edge j. */
function sees(tree: SegmentTree, i: number, j: number, share: number, withinM: number): boolean {
  const { at } = tree;
  const [ax, ay, bx, by] = at.subarray(4 * i, 4 * i + 4);
  const [cx, cy, dx, dy] = at.subarray(4 * j, 4 * j + 4);
  const [px, py] = [ax + share * (bx - ax), ay + share * (by - ay)];
  const nearest = parameterOnSegment(px, py, cx, cy, dx, dy);
  const [gx, gy] = [cx + nearest * (dx - cx) - px, cy + nearest * (dy - cy) - py];
  if (gx * gx + gy * gy >= withinM * withinM) return false;
  if (cross(ax, ay, bx, by, px + gx, py + gy) <= 0 || cross(cx, cy, dx, dy, px, py) <= 0) return false;
  const [fromX, fromY] = [px + SHORT_SHARE * gx, py + SHORT_SHARE * gy];
  const [toX, toY] = [px + (1 - SHORT_SHARE) * gx, py + (1 - SHORT_SHARE) * gy];
  const isHidden = someSegment(
    tree,
    Math.min(fromX, toX),
    Math.min(fromY, toY),
    Math.max(fromX, toX),
    Math.max(fromY, toY),
    (k) => segmentsCross(fromX, fromY, toX, toY, at[4 * k], at[4 * k + 1], at[4 * k + 2], at[4 * k + 3]),
  );
  return !isHidden;
}
