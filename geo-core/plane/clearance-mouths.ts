import type { PlanePoint } from '#geo-core/model/position.ts';
import { isClear, seesFromCorner, type WallPoint, type Walls } from './clearance-walls.ts';

/**
 * A clear circle that touches two walls: where a circle rolling along one wall inside the ground is stopped by the other. The
 * ground beyond the chord from p to q is narrower than the circle; the centre lies on the left of it.
 */
export type Mouth = { readonly at: PlanePoint; readonly p: WallPoint; readonly q: WallPoint };

/** Slack of "nothing lies inside the circle", metres. */
const CLEAR_M = 1e-7;
/** Slack of a touching point at the end of a wall, metres, and of a direction, sine. */
const END_SLACK = 1e-9;
/** A corner reaches as far as this many radii from the centre of the last full circle before it counts as ground of its own. */
export const NOOK_RADII = 3;
/** Cosine of the turn of a corner that reaches just so far (39 degrees between its walls): 2 / 9 - 1. */
const SHARP_TURN_COSINE = 2 / (NOOK_RADII * NOOK_RADII) - 1;
/** Circles this near to each other are one, metres. */
const SAME_M = 1e-6;

/**
 * All clear circles of a radius that touch two walls, but those of nooks: ground between the two touching points, on one ring, no
 * farther than 3 radii from the centre and with no other circle in it. No such circle: all of the ground belongs together, if
 * a full circle fits at all.
 *
 * Every pair of walls (segments, and corners that stick into the ground) nearer than two radii has at most two circles that
 * touch both. Metres.
 */
export function findMouths(walls: Walls, radiusM: number): Mouth[] {
  const found: Mouth[] = [];
  const keep = (x: number, y: number, p: WallPoint, q: WallPoint): void => {
    if (!isClear(walls, x, y, radiusM - CLEAR_M) || !walls.holds(x, y)) return;
    const isLeft = (q.x - p.x) * (y - p.y) - (q.y - p.y) * (x - p.x) >= 0;
    found.push(isLeft ? { at: { x, y }, p, q } : { at: { x, y }, p: q, q: p });
  };
  const touching = pairToucher(walls, radiusM, keep);
  for (let i = 0; i < walls.count; i++) {
    const [minX, minY, maxX, maxY] = reachOf(walls, i, radiusM);
    walls.index.search(minX, minY, maxX, maxY, (j) => {
      if (j > i) touching(i, j);
      return false;
    });
  }
  const mouths = withoutRepeats(found);
  const feet = feetByRing(mouths);
  return mouths.filter((mouth) => !isNook(walls, mouth, radiusM, feet));
}

/** The box of all circles of the radius that touch segment i, or the corner where it starts, from inside. */
function reachOf({ segments: s, ux, uy, previous, isReflex }: Walls, i: number, radiusM: number) {
  const [nx, ny] = [-uy[i] * radiusM, ux[i] * radiusM];
  const [ax, ay, bx, by] = [s[4 * i] + nx, s[4 * i + 1] + ny, s[4 * i + 2] + nx, s[4 * i + 3] + ny];
  let minX = Math.min(ax, bx);
  let maxX = Math.max(ax, bx);
  let minY = Math.min(ay, by);
  let maxY = Math.max(ay, by);
  if (isReflex[i] === 1) {
    const before = previous[i];
    const dot = ux[before] * ux[i] + uy[before] * uy[i];
    const [mx, my] = [-uy[before] * radiusM, ux[before] * radiusM];
    if (dot > 0) {
      // The centres round the corner lie in the triangle of the two normals and the mitre's tip.
      const [tipX, tipY] = [(nx + mx) / (1 + dot), (ny + my) / (1 + dot)];
      minX = Math.min(minX, s[4 * i] + mx, s[4 * i] + tipX);
      maxX = Math.max(maxX, s[4 * i] + mx, s[4 * i] + tipX);
      minY = Math.min(minY, s[4 * i + 1] + my, s[4 * i + 1] + tipY);
      maxY = Math.max(maxY, s[4 * i + 1] + my, s[4 * i + 1] + tipY);
    } else {
      minX = Math.min(minX, s[4 * i] - radiusM);
      maxX = Math.max(maxX, s[4 * i] + radiusM);
      minY = Math.min(minY, s[4 * i + 1] - radiusM);
      maxY = Math.max(maxY, s[4 * i + 1] + radiusM);
    }
  }
  return [minX - radiusM, minY - radiusM, maxX + radiusM, maxY + radiusM] as const;
}

type Keep = (x: number, y: number, p: WallPoint, q: WallPoint) => void;

/** For two segments and the corners where they start: every circle that touches one of each. */
function pairToucher(walls: Walls, radiusM: number, keep: Keep): (i: number, j: number) => void {
  const { segments: s, ux, uy, lengthM, previous, next, isReflex } = walls;
  const corner = (i: number): WallPoint => ({ x: s[4 * i], y: s[4 * i + 1], segment: i });
  const along = (i: number, t: number): WallPoint => ({
    x: s[4 * i] + t * ux[i],
    y: s[4 * i + 1] + t * uy[i],
    segment: i,
  });

  const segmentAndSegment = (i: number, j: number): void => {
    const determinant = ux[i] * uy[j] - uy[i] * ux[j];
    if (Math.abs(determinant) < 1e-12) return;
    const dx = s[4 * j] - uy[j] * radiusM - (s[4 * i] - uy[i] * radiusM);
    const dy = s[4 * j + 1] + ux[j] * radiusM - (s[4 * i + 1] + ux[i] * radiusM);
    const t = (dx * uy[j] - dy * ux[j]) / determinant;
    if (!(t >= -END_SLACK && t <= lengthM[i] + END_SLACK)) return;
    const w = (dx * uy[i] - dy * ux[i]) / determinant;
    if (!(w >= -END_SLACK && w <= lengthM[j] + END_SLACK)) return;
    const p = along(i, t);
    keep(p.x - uy[i] * radiusM, p.y + ux[i] * radiusM, p, along(j, w));
  };

  const cornerAndSegment = (i: number, j: number): void => {
    const dx = s[4 * j] - uy[j] * radiusM - s[4 * i];
    const dy = s[4 * j + 1] + ux[j] * radiusM - s[4 * i + 1];
    const aside = ux[j] * dy - uy[j] * dx;
    const squared = radiusM * radiusM - aside * aside;
    if (squared < 0) return;
    const half = Math.sqrt(squared);
    const middle = -(dx * ux[j] + dy * uy[j]);
    for (const t of half === 0 ? [middle] : [middle - half, middle + half]) {
      if (!(t >= -END_SLACK && t <= lengthM[j] + END_SLACK)) continue;
      const cx = dx + t * ux[j];
      const cy = dy + t * uy[j];
      if (!seesFromCorner(walls, i, cx, cy, END_SLACK)) continue;
      keep(s[4 * i] + cx, s[4 * i + 1] + cy, corner(i), along(j, t));
    }
  };

  const cornerAndCorner = (i: number, j: number): void => {
    const halfX = (s[4 * j] - s[4 * i]) / 2;
    const halfY = (s[4 * j + 1] - s[4 * i + 1]) / 2;
    const squared = halfX * halfX + halfY * halfY;
    if (squared > radiusM * radiusM || squared < SAME_M * SAME_M) return;
    const stretch = Math.sqrt((radiusM * radiusM - squared) / squared);
    for (const side of stretch === 0 ? [0] : [stretch, -stretch]) {
      const cx = halfX - side * halfY;
      const cy = halfY + side * halfX;
      if (!seesFromCorner(walls, i, cx, cy, END_SLACK)) continue;
      if (!seesFromCorner(walls, j, cx - 2 * halfX, cy - 2 * halfY, END_SLACK)) continue;
      keep(s[4 * i] + cx, s[4 * i + 1] + cy, corner(i), corner(j));
    }
  };

  // A circle that touches i lies on the inner side of i, at a corner of one of the two segments that meet there.
  const isAhead = (i: number, j: number): boolean => {
    const [x, y] = [s[4 * i], s[4 * i + 1]];
    const [ax, ay, bx, by] = [s[4 * j] - x, s[4 * j + 1] - y, s[4 * j + 2] - x, s[4 * j + 3] - y];
    if (ux[i] * ay - uy[i] * ax > 0 || ux[i] * by - uy[i] * bx > 0) return true;
    if (isReflex[i] === 0) return false;
    const k = previous[i];
    return ux[k] * ay - uy[k] * ax > 0 || ux[k] * by - uy[k] * bx > 0;
  };

  return (i, j) => {
    if (!isAhead(i, j) || !isAhead(j, i)) return;
    const isBefore = next[i] === j;
    const isAfter = next[j] === i;
    const isSharp = ux[i] * ux[j] + uy[i] * uy[j] < SHARP_TURN_COSINE;
    if (!isBefore && !isAfter) segmentAndSegment(i, j);
    else if (isSharp && isReflex[isBefore ? j : i] === 0) segmentAndSegment(i, j);
    if (isReflex[i] === 1 && !isAfter) cornerAndSegment(i, j);
    if (isReflex[j] === 1 && !isBefore) cornerAndSegment(j, i);
    if (isReflex[i] === 1 && isReflex[j] === 1) cornerAndCorner(i, j);
  };
}

/** Drops circles found twice, and of chords of one circle that cross each other all but the first. */
function withoutRepeats(found: readonly Mouth[]): Mouth[] {
  const sorted = found.toSorted((a, b) => a.at.x - b.at.x || a.at.y - b.at.y);
  const kept: Mouth[] = [];
  for (const mouth of sorted) {
    let isRepeat = false;
    for (let k = kept.length - 1; k >= 0 && kept[k].at.x > mouth.at.x - SAME_M; k--) {
      if (Math.abs(kept[k].at.y - mouth.at.y) < SAME_M && !standApart(kept[k], mouth)) isRepeat = true;
    }
    if (!isRepeat) kept.push(mouth);
  }
  return kept;
}

/** Whether two chords of one circle have different ends and do not cross: both ends of one on one side of the other. */
function standApart(one: Mouth, two: Mouth): boolean {
  if (isSame(one.p, two.p) && isSame(one.q, two.q)) return false;
  const side = ({ x, y }: WallPoint): number =>
    (one.q.x - one.p.x) * (y - one.p.y) - (one.q.y - one.p.y) * (x - one.p.x);
  return side(two.p) * side(two.q) >= -SAME_M * SAME_M;
}

function isSame(a: WallPoint, b: WallPoint): boolean {
  return Math.abs(a.x - b.x) < SAME_M && Math.abs(a.y - b.y) < SAME_M;
}

/** Segments with touching points, ascending: who rolls past a wall touches it. */
function feetByRing(mouths: readonly Mouth[]): Int32Array {
  return Int32Array.from(mouths.flatMap(({ p, q }) => [p.segment, q.segment])).sort();
}

/**
 * Whether the boundary from p to q stays within reach of the circle, bears no touching point of another circle and has no other
 * ring beside it.
 */
function isNook(walls: Walls, { at, p, q }: Mouth, radiusM: number, feet: Int32Array): boolean {
  const { segments: s, next, ringOf } = walls;
  const farSquared = NOOK_RADII * NOOK_RADII * radiusM * radiusM;
  let [minX, maxX] = [Math.min(p.x, q.x), Math.max(p.x, q.x)];
  let [minY, maxY] = [Math.min(p.y, q.y), Math.max(p.y, q.y)];
  for (let k = p.segment; k !== q.segment; k = next[k]) {
    const [x, y] = [s[4 * k + 2], s[4 * k + 3]];
    if ((x - at.x) * (x - at.x) + (y - at.y) * (y - at.y) > farSquared) return false;
    if (k !== p.segment && isAmong(feet, k)) return false;
    minX = Math.min(minX, x);
    maxX = Math.max(maxX, x);
    minY = Math.min(minY, y);
    maxY = Math.max(maxY, y);
    if (next[k] === p.segment) return false;
  }
  return !walls.index.collides(minX, minY, maxX, maxY, (k) => ringOf[k] !== ringOf[p.segment]);
}

function isAmong(sorted: Int32Array, value: number): boolean {
  let [low, high] = [0, sorted.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low < sorted.length && sorted[low] === value;
}
