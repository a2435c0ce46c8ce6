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
 * A ring with some parts laid anew, of every vertex the number of the change it comes from (-1 where it is as it was), of every
 * edge from a vertex on the number of the change that left only this edge, and whether it is new (1), and not part of an edge that was there.
 */
export type ChangedRing = {
  readonly ring: Ring;
  readonly from: Int32Array;
  readonly across: Int32Array;
  readonly isNew: Uint8Array;
};

/** Vertices nearer to each other than this are one, metres: two cuts may meet in the middle of an edge. */
const ONE_PLACE_M = 1e-7;

/** Changes do not overlap. Vertices that fall together stay once. */
export function changedRing(ring: Ring, changes: readonly RingChange[]): ChangedRing {
  const count = ring.length / 2;
  const isDropped = new Uint8Array(count);
  const changeAt = new Int32Array(count).fill(-1);
  for (let k = 0; k < changes.length; k++) {
    changeAt[changes[k].first] = k;
    for (let i = 0; i < changes[k].count; i++) isDropped[(changes[k].first + i) % count] = 1;
  }
  const xy: number[] = [];
  const from: number[] = [];
  const emptied: (readonly [vertex: number, change: number])[] = [];
  const push = (x: number, y: number, change: number): void => {
    if (from.length > 0 && areOnePlace(x, y, xy[xy.length - 2], xy[xy.length - 1])) return;
    xy.push(x, y);
    from.push(change);
  };
  for (let i = 0; i < count; i++) {
    const change = changeAt[i];
    if (change >= 0) {
      const { xy: anew } = changes[change];
      if (anew.length === 0) emptied.push([from.length - 1, change]);
      for (let k = 0; k < anew.length; k += 2) push(anew[k], anew[k + 1], change);
    }
    if (isDropped[i] === 0) push(ring[2 * i], ring[2 * i + 1], -1);
  }
  if (from.length > 1 && areOnePlace(xy[0], xy[1], xy[xy.length - 2], xy[xy.length - 1])) {
    from.pop();
    xy.length -= 2;
  }
  const across = new Int32Array(from.length).fill(-1);
  for (const [vertex, change] of emptied)
    across[vertex < 0 ? from.length - 1 : Math.min(vertex, from.length - 1)] = change;
  const isNew = new Uint8Array(from.length);
  const liesAnew = (change: number): boolean => change >= 0 && !changes[change].endsOnEdges;
  for (let k = 0; k < from.length; k++) {
    const change = from[k];
    const next = from[k + 1 === from.length ? 0 : k + 1];
    if (across[k] >= 0 || (change === next ? change >= 0 : liesAnew(change) || liesAnew(next))) isNew[k] = 1;
  }
  // A list is copied at once by `new`, number by number by `from`.
  return { ring: new Float64Array(xy), from: new Int32Array(from), across, isNew };
}

function areOnePlace(ax: number, ay: number, bx: number, by: number): boolean {
  return (bx - ax) * (bx - ax) + (by - ay) * (by - ay) < ONE_PLACE_M * ONE_PLACE_M;
}
