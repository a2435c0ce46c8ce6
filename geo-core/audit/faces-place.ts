import type { NearestPlaces } from './nearest-places.ts';
import type { IndexedSegments, Segments } from './segments.ts';

/** Ends this near each other, metres, are one corner; shorter edges are rounding and have no direction. */
const CORNER_M = 2e-6;
/** Angles (as slantOf counts) this near each other are one direction. */
const SAME_SLANT = 1e-6;

/**
 * Whether edge k looks at a place that sees its nearest place: from its own side, which is its left, with no other outline in
 * the angle between. Where outlines touch in a corner, every edge there can be seen across the corner, from ground that is
 * another lawn to it.
 *
 *         lawn A   /
 *      ----------V----------     the edges of B at V do not look into A
 *              /    lawn B
 */
export function facesPlace(edges: Segments, k: number, pair: NearestPlaces, outline: IndexedSegments): boolean {
  const { px, py, qx, qy, t } = pair;
  if (pair.distanceM <= CORNER_M) return true;
  if (edges.lengthM[k] <= CORNER_M) return false;
  const { abXy } = edges;
  // From the edge's own direction anticlockwise, or, seen from its end, clockwise.
  const sense = t < 1 ? 1 : -1;
  const dx = sense * (abXy[4 * k + 2] - abXy[4 * k]);
  const dy = sense * (abXy[4 * k + 3] - abXy[4 * k + 1]);
  const slantTo = (x: number, y: number): number => slantOf(dx * x + dy * y, sense * (dx * y - dy * x));
  const seenAt = slantTo(px - qx, py - qy);
  if (t > 0 && t < 1 && seenAt >= 2) return false;
  const { grid } = outline;
  const many = grid.near(qx, qy, qx, qy, CORNER_M);
  for (let n = 0; n < many; n++) {
    const j = grid.found[n];
    if (outline.lengthM[j] <= CORNER_M) continue;
    for (let end = 4 * j; end <= 4 * j + 2; end += 2) {
      const other = 8 * j + 2 - end;
      const x = outline.abXy[end];
      const y = outline.abXy[end + 1];
      if (Math.abs(x - qx) > CORNER_M || Math.abs(y - qy) > CORNER_M) continue;
      const slant = slantTo(outline.abXy[other] - x, outline.abXy[other + 1] - y);
      if (slant > SAME_SLANT && slant < 4 - SAME_SLANT && slant < seenAt - SAME_SLANT) return false;
    }
  }
  return true;
}

/** An angle of 0 to 360 degrees as a number of 0 to 4 that grows with it, without a tangent: parts of the rhombus |x| + |y| = 1. */
function slantOf(x: number, y: number): number {
  const share = y / (Math.abs(x) + Math.abs(y));
  if (x < 0) return 2 - share;
  return y < 0 ? 4 + share : share;
}
