import type { Ring } from '#geo-core/model/position.ts';

/** Part of a ring laid anew: `count` vertices from `first` on (past the end of the ring, too) become these (flat x, y, ...; metres). */
export type RingChange = {
  readonly first: number;
  readonly count: number;
  readonly xy: readonly number[];
  /** Its ends lie on the edges before and after it, which only become shorter. */
  readonly endsOnEdges: boolean;
};

/**
 * A ring with some parts laid anew, of every vertex the number of the change it comes from (-1 where it is as it was), and of every
 * edge from a vertex on whether it is new (1), and not part of an edge that was there.
 */
export type ChangedRing = { readonly ring: Ring; readonly from: Int32Array; readonly isNew: Uint8Array };

/** Vertices nearer to each other than this are one, metres: two cuts may meet in the middle of an edge. */
const ONE_PLACE_M = 1e-7;

/** Changes do not overlap. Vertices that fall together stay once. */
export function changedRing(ring: Ring, changes: readonly RingChange[]): ChangedRing {
  const count = ring.length / 2;
  const isDropped = new Uint8Array(count);
  const changeAt = new Int32Array(count).fill(-1);
  changes.forEach((change, k) => {
    changeAt[change.first] = k;
    for (let i = 0; i < change.count; i++) isDropped[(change.first + i) % count] = 1;
  });
  const xy: number[] = [];
  const from: number[] = [];
  const push = (x: number, y: number, change: number): void => {
    if (from.length > 0 && areOnePlace(x, y, xy[xy.length - 2], xy[xy.length - 1])) return;
    xy.push(x, y);
    from.push(change);
  };
  for (let i = 0; i < count; i++) {
    const change = changeAt[i];
    if (change >= 0)
      for (let k = 0; k < changes[change].xy.length; k += 2)
        push(changes[change].xy[k], changes[change].xy[k + 1], change);
    if (isDropped[i] === 0) push(ring[2 * i], ring[2 * i + 1], -1);
  }
  if (from.length > 1 && areOnePlace(xy[0], xy[1], xy[xy.length - 2], xy[xy.length - 1])) {
    from.pop();
    xy.length -= 2;
  }
  const isNew = Uint8Array.from(from, (change, k) => {
    const next = from[k + 1 === from.length ? 0 : k + 1];
    if (change === next) return change >= 0 ? 1 : 0;
    return [change, next].some((each) => each >= 0 && !changes[each].endsOnEdges) ? 1 : 0;
  });
  return { ring: Float64Array.from(xy), from: Int32Array.from(from), isNew };
}

function areOnePlace(ax: number, ay: number, bx: number, by: number): boolean {
  return (bx - ax) * (bx - ax) + (by - ay) * (by - ay) < ONE_PLACE_M * ONE_PLACE_M;
}
