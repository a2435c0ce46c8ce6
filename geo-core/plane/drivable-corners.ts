import type { Ring } from '#geo-core/model/position.ts';
import type { RingChange } from './ring-change.ts';

/** Turns to the left up to this are left alone: sine and cosine of 50 degrees would be trigonometry, so the cosine is given. */
export const SHARPEST_LEFT_COSINE = 0.64;
/** Turns to the right up to a right angle, as surveyed (91 degrees), are left alone. */
export const SHARPEST_RIGHT_COSINE = -0.02;
/** A blunted tip is this share of its legs wide on either side. */
const TIP_SHARE = 0.25;

/**
 * The corners of a ring (interior on the left) that are too sharp for one peg, each cut: always into the interior. Legs are
 * shortened to half of a short edge; where a corner is so acute that the cut would be shorter than legM, they are longer.
 *
 *     left, sharper than 50 degrees:            right, sharper than 90 degrees:      +------+
 *                                                                                    |      |   the wire leaves both
 *         +---------------* V                        the tip V stays,            A   *   V  *   legs on the left and
 *         |             / |                          in the middle of a           \      /      goes squarely over
 *         |   two turns/  |                          square end                    \    /       the tip
 */
export function cornerCuts(ring: Ring, legM: number): RingChange[] {
  const cuts: RingChange[] = [];
  for (let i = 0; i < ring.length / 2; i++) {
    const xy = cornerCut(ring, i, legM);
    if (xy !== undefined) cuts.push({ first: i, count: 1, xy });
  }
  return cuts;
}

/** The cut of one corner with legs of at most legM; undefined where it is not too sharp. */
function cornerCut(ring: Ring, vertex: number, legM: number): number[] | undefined {
  const count = ring.length;
  const [i, before, after] = [2 * vertex, (2 * vertex + count - 2) % count, (2 * vertex + 2) % count];
  const [x, y] = [ring[i], ring[i + 1]];
  const [dx, dy, gx, gy] = [x - ring[before], y - ring[before + 1], ring[after] - x, ring[after + 1] - y];
  const [beforeM, afterM] = [Math.sqrt(dx * dx + dy * dy), Math.sqrt(gx * gx + gy * gy)];
  const [ex, ey, fx, fy] = [dx / beforeM, dy / beforeM, gx / afterM, gy / afterM];
  const [sine, cosine] = [ex * fy - ey * fx, ex * fx + ey * fy];
  const mostM = Math.min(beforeM, afterM) / 2;
  const halfCosine = Math.sqrt(Math.max(0, (1 + cosine) / 2));
  if (sine > 0) {
    if (cosine >= SHARPEST_LEFT_COSINE) return undefined;
    const leg = Math.min(legM * Math.max(1, 0.5 / halfCosine), mostM);
    return [x - ex * leg, y - ey * leg, x + fx * leg, y + fy * leg];
  }
  if (cosine >= SHARPEST_RIGHT_COSINE || halfCosine === 0) return undefined;
  const leg = Math.min(legM, mostM);
  const tip = leg * Math.min(TIP_SHARE, halfCosine);
  const [cx, cy] = [(ex + fx) / (2 * halfCosine), (ey + fy) / (2 * halfCosine)];
  return [
    ...[x - ex * leg, y - ey * leg],
    ...[x - cx * tip, y - cy * tip, x + cx * tip, y + cy * tip],
    ...[x + fx * leg, y + fy * leg],
  ];
}
