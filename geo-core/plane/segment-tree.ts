/**
 * Straight segments in the order of their lines with a tree of boxes over them. Neighbours along a line are neighbours in space,
 * so nothing has to be sorted: it is built in one pass, many times as fast as a general box index, for few questions.
 */
export type SegmentTree = {
  readonly count: number;
  /** Segment i runs from (at[4i], at[4i + 1]) to (at[4i + 2], at[4i + 3]), metres. */
  readonly at: Float64Array;
  /** Four numbers a node: minX, minY, maxX, maxY. Node 1 is the root, node k has the children 2k and 2k + 1. */
  readonly boxes: Float64Array;
  /** Nodes from here on are leaves of `LEAF_SEGMENTS` segments each. */
  readonly firstLeaf: number;
};

export const LEAF_SEGMENTS = 4;

/** Tree over segments given flat, four numbers each. */
export function segmentTree(at: Float64Array): SegmentTree {
  const count = at.length / 4;
  let firstLeaf = 1;
  while (firstLeaf * LEAF_SEGMENTS < count) firstLeaf *= 2;
  const boxes = new Float64Array(8 * firstLeaf);
  for (let leaf = 0; leaf < firstLeaf; leaf++) {
    let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
    const end = Math.min(at.length, (leaf + 1) * LEAF_SEGMENTS * 4);
    for (let i = leaf * LEAF_SEGMENTS * 4; i < end; i += 2) {
      if (at[i] < minX) minX = at[i];
      if (at[i] > maxX) maxX = at[i];
      if (at[i + 1] < minY) minY = at[i + 1];
      if (at[i + 1] > maxY) maxY = at[i + 1];
    }
    const k = 4 * (firstLeaf + leaf);
    boxes[k] = minX;
    boxes[k + 1] = minY;
    boxes[k + 2] = maxX;
    boxes[k + 3] = maxY;
  }
  for (let k = 4 * (firstLeaf - 1); k > 0; k -= 4) {
    boxes[k] = Math.min(boxes[2 * k], boxes[2 * k + 4]);
    boxes[k + 1] = Math.min(boxes[2 * k + 1], boxes[2 * k + 5]);
    boxes[k + 2] = Math.max(boxes[2 * k + 2], boxes[2 * k + 6]);
    boxes[k + 3] = Math.max(boxes[2 * k + 3], boxes[2 * k + 7]);
  }
  return { count, at, boxes, firstLeaf };
}

/** Calls `visit` with every segment whose box meets the box, in order, until it returns true; whether it did. */
export function someSegment(
  { at, boxes, firstLeaf }: SegmentTree,
  minX: number,
  minY: number,
  maxX: number,
  maxY: number,
  visit: (segment: number) => boolean,
): boolean {
  let node = 1;
  while (node > 0) {
    const k = 4 * node;
    if (boxes[k] <= maxX && boxes[k + 1] <= maxY && boxes[k + 2] >= minX && boxes[k + 3] >= minY) {
      if (node < firstLeaf) {
        node *= 2;
        continue;
      }
      const first = (node - firstLeaf) * LEAF_SEGMENTS;
      for (let segment = first; segment < first + LEAF_SEGMENTS && 4 * segment < at.length; segment++) {
        const i = 4 * segment;
        if (Math.min(at[i], at[i + 2]) > maxX || Math.max(at[i], at[i + 2]) < minX) continue;
        if (Math.min(at[i + 1], at[i + 3]) > maxY || Math.max(at[i + 1], at[i + 3]) < minY) continue;
        if (visit(segment)) return true;
      }
    }
    while ((node & 1) === 1) node >>= 1;
    if (node > 0) node++;
  }
  return false;
}
