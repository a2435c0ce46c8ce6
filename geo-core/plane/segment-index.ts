import Flatbush from 'flatbush';

/** Straight segments in a box index: item i runs from (at[4i], at[4i + 1]) to (at[4i + 2], at[4i + 3]), metres. */
export type SegmentIndex = {
  readonly count: number;
  readonly at: Float64Array;
  /** Calls `visit` with every segment whose box meets the box, until it returns true; whether it did. */
  some(minX: number, minY: number, maxX: number, maxY: number, visit: (segment: number) => boolean): boolean;
};

/** The segments of flat rings, each with its closing edge, in the order of the rings. */
export function ringSegments(rings: readonly Float64Array[]): Float64Array {
  const at = new Float64Array(rings.reduce((sum, ring) => sum + ring.length * 2, 0));
  let k = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      at[k++] = ring[i];
      at[k++] = ring[i + 1];
      at[k++] = ring[j];
      at[k++] = ring[j + 1];
    }
  }
  return at;
}

/** Index over segments given flat, four numbers each. */
export function segmentIndex(at: Float64Array): SegmentIndex {
  const count = at.length / 4;
  if (count === 0) return { count, at, some: () => false };
  const boxes = new Flatbush(count);
  for (let i = 0; i < at.length; i += 4) {
    boxes.add(
      Math.min(at[i], at[i + 2]),
      Math.min(at[i + 1], at[i + 3]),
      Math.max(at[i], at[i + 2]),
      Math.max(at[i + 1], at[i + 3]),
    );
  }
  boxes.finish();
  return { count, at, some: (minX, minY, maxX, maxY, visit) => boxes.collides(minX, minY, maxX, maxY, visit) };
}
