import type { Ring } from '#geo-core/model/position.ts';

/** Turns to the left up to this are left alone: sine and cosine of 50 degrees would be trigonometry, so the cosine is given. */
const GENTLE_TURN_COSINE = 0.64;

/**
 * Cuts every sharp convex corner of a ring (interior on the left) by a line with the given legs, so that a square corner
 * becomes two turns of 45 degrees. Cutting a convex corner only ever moves the wire inward. Legs are shortened to half
 * of a short edge. legM = 0 returns the ring as it is.
 */
export function drivableCorners(ring: Ring, legM: number): Ring {
  if (legM === 0) return ring;
  const out: number[] = [];
  const count = ring.length;
  for (let i = 0; i < count; i += 2) {
    const before = (i + count - 2) % count;
    const after = (i + 2) % count;
    const [ex, ey] = [ring[i] - ring[before], ring[i + 1] - ring[before + 1]];
    const [fx, fy] = [ring[after] - ring[i], ring[after + 1] - ring[i + 1]];
    const lengthBefore = Math.sqrt(ex * ex + ey * ey);
    const lengthAfter = Math.sqrt(fx * fx + fy * fy);
    const isSharp = ex * fy - ey * fx > 0 && ex * fx + ey * fy < GENTLE_TURN_COSINE * lengthBefore * lengthAfter;
    if (!isSharp) {
      out.push(ring[i], ring[i + 1]);
      continue;
    }
    const leg = Math.min(legM, lengthBefore / 2, lengthAfter / 2);
    out.push(ring[i] - (ex / lengthBefore) * leg, ring[i + 1] - (ey / lengthBefore) * leg);
    out.push(ring[i] + (fx / lengthAfter) * leg, ring[i + 1] + (fy / lengthAfter) * leg);
  }
  return withoutRepeats(out);
}

/** Half legs from both ends of a short edge meet in its middle: that point stays once. */
function withoutRepeats(xy: readonly number[]): Ring {
  const out: number[] = [];
  for (let i = 0; i < xy.length; i += 2) {
    const next = (i + 2) % xy.length;
    const dx = xy[next] - xy[i];
    const dy = xy[next + 1] - xy[i + 1];
    if (dx * dx + dy * dy > 1e-14) out.push(xy[i], xy[i + 1]);
  }
  return Float64Array.from(out);
}
