import type { Ring } from '#geo-core/model/position.ts';

/** minX, minY, maxX, maxY, metres. */
export type Box = readonly [number, number, number, number];

/**
 * A ring that is the same in a box with far fewer vertices elsewhere: a vertex goes where it and both its neighbours lie beyond the
 * same side of the box, so that every edge that meets the box stays as it is and winding numbers in the box do not change.
 * Empty where nothing of the ring can meet the box or go round it.
 *
 *        .--.                     ____
 *       /    \                   /    \
 *     +-|----|-+              +-|----|-+
 *     |  \__/  |      ->      |  \__/  |
 *     +--------+              +--------+
 */
export function ringNearBox(ring: Ring, box: Box): Ring {
  const n = ring.length;
  const kept = new Float64Array(n);
  let count = 0;
  let lastCode = -1;
  let code = sideCode(ring[0], ring[1], box);
  for (let i = 0; i < n; i += 2) {
    const next = i + 2 === n ? 0 : i + 2;
    const nextCode = sideCode(ring[next], ring[next + 1], box);
    if (count === 0 || (lastCode & code & nextCode) === 0) {
      kept[count++] = ring[i];
      kept[count++] = ring[i + 1];
      lastCode = code;
    }
    code = nextCode;
  }
  return count < 6 ? kept.subarray(0, 0) : kept.subarray(0, count);
}

/** Which sides of a box a point lies beyond: west 1, east 2, south 4, north 8. */
function sideCode(x: number, y: number, [minX, minY, maxX, maxY]: Box): number {
  return (x < minX ? 1 : x > maxX ? 2 : 0) | (y < minY ? 4 : y > maxY ? 8 : 0);
}
