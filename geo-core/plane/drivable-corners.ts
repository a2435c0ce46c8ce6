import type { Ring } from '#geo-core/model/position.ts';
import type { RingChange } from './ring-change.ts';

/** Turns to the left up to this are left alone: sine and cosine of 50 degrees would be trigonometry, so the cosine is given. */
export const SHARPEST_LEFT_COSINE = 0.64;
/** Turns to the right up to a right angle, as surveyed (91 degrees), are left alone. */
export const SHARPEST_RIGHT_COSINE = -0.02;
/** A blunted tip is this share of its legs wide on either side. */
const TIP_SHARE = 0.25;
/** A leg takes at most this share of an edge: the cuts of its two corners would meet in one sharp corner in the middle. */
const EDGE_SHARE = 0.4;
/** Vertices nearer to each other than this are one corner: a crew drives one peg there, metres. */
const ONE_PEG_M = 0.02;
/** Edges that turn by more than this (cosine of 154 degrees) meet too far away to be one corner. */
const LEAST_COSINE = -0.9;

/** The edges into and out of a corner: unit directions and lengths in metres, and their turn. */
type Corner = {
  readonly first: number;
  readonly count: number;
  readonly ex: number;
  readonly ey: number;
  readonly fx: number;
  readonly fy: number;
  readonly beforeM: number;
  readonly afterM: number;
  readonly sine: number;
  readonly cosine: number;
};

/**
 * The corners of a ring (interior on the left) that are too sharp for one peg, each cut: always into the interior. Legs are
 * measured from where the edges meet and take less than half of a short edge; where a corner is so acute that the cut would be shorter
 * than legM, they are longer. Vertices so near to each other that one peg holds them are one corner.
 *
 *     left, sharper than 50 degrees:            right, sharper than 90 degrees:      +------+
 *                                                                                    |      |   the wire leaves both
 *         +---------------* V                        the tip V stays,            A   *   V  *   legs on the left and
 *         |             / |                          in the middle of a           \      /      goes squarely over
 *         |   two turns/  |                          square end                    \    /       the tip
 */
export function cornerCuts(ring: Ring, legM: number): RingChange[] {
  const count = ring.length / 2;
  const cuts: RingChange[] = [];
  for (let i = firstAlone(ring), left = count; left > 0; ) {
    const corner = cornerFrom(ring, i);
    const cut = corner.sine > 0 ? leftCut(ring, corner, legM) : rightCut(ring, corner, legM);
    if (cut !== undefined) cuts.push(cut);
    i = (i + corner.count) % count;
    left -= corner.count;
  }
  return cuts;
}

/** The first vertex that is not one corner with the one before; 0 where there is none. */
function firstAlone(ring: Ring): number {
  for (let i = 0; i < ring.length / 2; i++) if (cornerAt(ring, i, 1).beforeM >= ONE_PEG_M) return i;
  return 0;
}

/** The corner that begins at a vertex: several vertices are one only between edges that are no steps themselves. */
function cornerFrom(ring: Ring, first: number): Corner {
  const alone = cornerAt(ring, first, 1);
  let corner = alone;
  while (corner.beforeM >= ONE_PEG_M && corner.afterM < ONE_PEG_M) {
    const wider = widened(ring, corner);
    if (wider === undefined) return alone;
    corner = wider;
  }
  return corner;
}

function cornerAt(ring: Ring, first: number, count: number): Corner {
  const n = ring.length;
  const [i, j] = [2 * first, (2 * (first + count) - 2) % n];
  const [before, after] = [(i + n - 2) % n, (j + 2) % n];
  const [dx, dy, gx, gy] = [
    ring[i] - ring[before],
    ring[i + 1] - ring[before + 1],
    ring[after] - ring[j],
    ring[after + 1] - ring[j + 1],
  ];
  const [beforeM, afterM] = [Math.sqrt(dx * dx + dy * dy), Math.sqrt(gx * gx + gy * gy)];
  const [ex, ey, fx, fy] = [dx / beforeM, dy / beforeM, gx / afterM, gy / afterM];
  return { first, count, ex, ey, fx, fy, beforeM, afterM, sine: ex * fy - ey * fx, cosine: ex * fx + ey * fy };
}

/** The corner with the vertex after it, where that turns the same way and the edges of both together meet near by. */
function widened(ring: Ring, corner: Corner): Corner | undefined {
  const next = cornerAt(ring, (corner.first + corner.count) % (ring.length / 2), 1);
  if (next.sine > 0 !== corner.sine > 0) return undefined;
  const wider = cornerAt(ring, corner.first, corner.count + 1);
  return wider.sine > 0 === corner.sine > 0 && wider.cosine > LEAST_COSINE ? wider : undefined;
}

/** How far the edges of a corner go on beyond their vertices until they meet, metres. */
function beyondM(ring: Ring, { first, count, ex, ey, fx, fy, sine }: Corner): readonly [before: number, after: number] {
  if (count === 1) return [0, 0];
  const [i, j] = [2 * first, (2 * (first + count) - 2) % ring.length];
  const [dx, dy] = [ring[j] - ring[i], ring[j + 1] - ring[i + 1]];
  return [(dx * fy - dy * fx) / sine, (ex * dy - ey * dx) / sine];
}

function leftCut(ring: Ring, corner: Corner, legM: number): RingChange | undefined {
  const { first, count, ex, ey, fx, fy, beforeM, afterM, cosine } = corner;
  if (cosine >= SHARPEST_LEFT_COSINE) return undefined;
  const halfCosine = Math.sqrt(Math.max(0, (1 + cosine) / 2));
  const [goesOnM, cameM] = beyondM(ring, corner);
  const wantedM = legM * Math.max(1, 0.5 / halfCosine);
  const leg = Math.min(wantedM, goesOnM + EDGE_SHARE * beforeM, cameM + EDGE_SHARE * afterM);
  const leastM = EDGE_SHARE * Math.min(beforeM, afterM, ONE_PEG_M);
  const [a, b] = [Math.max(leg - goesOnM, leastM), Math.max(leg - cameM, leastM)];
  const [i, j] = [2 * first, (2 * (first + count) - 2) % ring.length];
  const xy = [ring[i] - ex * a, ring[i + 1] - ey * a, ring[j] + fx * b, ring[j + 1] + fy * b];
  return { first, count, xy, endsOnEdges: true };
}

/** Several vertices first become the one where their edges meet. */
function rightCut(ring: Ring, corner: Corner, legM: number): RingChange | undefined {
  const { first, count, ex, ey, fx, fy, beforeM, afterM, cosine } = corner;
  const halfCosine = Math.sqrt(Math.max(0, (1 + cosine) / 2));
  if (cosine >= SHARPEST_RIGHT_COSINE || halfCosine === 0) return undefined;
  const [x, y] = [ring[2 * first], ring[2 * first + 1]];
  if (count > 1) {
    const [goesOnM, cameM] = beyondM(ring, corner);
    if (Math.max(goesOnM, cameM) > ONE_PEG_M) return undefined;
    return { first, count, xy: [x + ex * goesOnM, y + ey * goesOnM], endsOnEdges: false };
  }
  const leg = Math.min(legM, EDGE_SHARE * beforeM, EDGE_SHARE * afterM);
  const tip = leg * Math.min(TIP_SHARE, halfCosine);
  const [cx, cy] = [(ex + fx) / (2 * halfCosine), (ey + fy) / (2 * halfCosine)];
  const xy = [
    ...[x - ex * leg, y - ey * leg],
    ...[x - cx * tip, y - cy * tip, x + cx * tip, y + cy * tip],
    ...[x + fx * leg, y + fy * leg],
  ];
  return { first, count, xy, endsOnEdges: true };
}
