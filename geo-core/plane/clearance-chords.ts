import type { PlanePoint } from '#geo-core/model/position.ts';
import { footOn, nearestFoot, type Walls } from './clearance-walls.ts';
import { parameterOnSegment, pointSegmentM } from './segment.ts';
import type { Place } from './widest-place.ts';

/** A straight line inside from wall to wall. */
export type Chord = { readonly p: PlanePoint; readonly q: PlanePoint };
export type MeasuredChord = Chord & { readonly halfM: number };

/** A circle that touches the walls at the two ends of the chord. */
export type Mouth = { readonly circle: Place; readonly chord: Chord };

/** Slack of "nothing lies inside the circle over the chord", metres. */
const CLEAR_M = 1e-7;
const MAX_LOOKS = 4;

/**
 * The chord between the true walls around a and those around b whose diametral circle is clear: there the clearance has a saddle,
 * and the clear width between the walls is the chord's length, exactly. Both ends lie within `windowM` of a and b; chords
 * shorter than `leastHalfM` or longer than `mostHalfM` (half lengths) do not count. Undefined where the walls have no such place
 * there (they still draw nearer to each other further on).
 *
 * From the middle of a and b the nearest segment on each side is taken; their shortest chord is it, or the middle of the two
 * feet is the next place to look from.
 */
export function criticalChord(
  walls: Walls,
  a: PlanePoint,
  b: PlanePoint,
  windowM: number,
  leastHalfM: number,
  mostHalfM: number,
): MeasuredChord | undefined {
  let x = (a.x + b.x) / 2;
  let y = (a.y + b.y) / 2;
  for (let look = 0; look < MAX_LOOKS; look++) {
    const sides = nearestSides(walls, x, y, a, b, 1.5 * mostHalfM);
    if (sides === undefined) return undefined;
    const chord = shortestChord(walls, sides.ofA, sides.ofB, a, b);
    const isSaddle =
      chord.halfM >= leastHalfM &&
      chord.halfM <= mostHalfM + CLEAR_M &&
      isWithin(chord, a, b, windowM) &&
      isDiametralCircleClear(walls, chord);
    if (isSaddle) return chord;
    const p = footOn(walls, sides.ofA, x, y);
    const q = footOn(walls, sides.ofB, x, y);
    if (!isWithin({ p, q }, a, b, windowM)) return undefined;
    x = (p.x + q.x) / 2;
    y = (p.y + q.y) / 2;
  }
  return undefined;
}

/** Slides a chord along both walls until no shorter one lies within `windowM` of its ends. Never loops: it must get shorter each time. */
export function slideToShortest(walls: Walls, a: PlanePoint, b: PlanePoint, windowM: number): MeasuredChord {
  let best: MeasuredChord = { p: a, q: b, halfM: Math.sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)) / 2 };
  for (let step = 0; step < 64; step++) {
    let next = best;
    const ofB = wallsAround(walls, best.q, windowM);
    for (const i of wallsAround(walls, best.p, windowM)) {
      for (const j of ofB) {
        const apartM = i === j ? 0 : apartOf(walls, i, j);
        if (apartM <= best.halfM || apartM >= 2 * next.halfM - 1e-9) continue;
        const chord = shortestChord(walls, i, j, best.p, best.q);
        if (isWithin(chord, best.p, best.q, windowM)) next = chord;
      }
    }
    if (next === best) break;
    best = next;
  }
  return best;
}

/**
 * The circle of `radiusM` that touches the walls around a and b, near `start` (Newton's method on the two distances; the nearest
 * true segments on each side are looked up anew every step). Where the walls do not allow it: the circle at `start` that the two walls
 * do allow, with its own feet.
 */
export function mouthBetween(walls: Walls, a: PlanePoint, b: PlanePoint, start: PlanePoint, radiusM: number): Mouth {
  let { x, y } = start;
  let sides = { p: a, q: b };
  let first: Mouth | undefined;
  for (let step = 0; step < 40; step++) {
    const feet = feetOnSides(walls, x, y, sides.p, sides.q, radiusM);
    if (feet === undefined) break;
    const { p, q } = feet;
    sides = feet;
    const chord = { p: { x: p.x, y: p.y }, q: { x: q.x, y: q.y } };
    first ??= { circle: { at: { x, y }, radiusM: Math.min(p.distanceM, q.distanceM) }, chord };
    const missP = radiusM - p.distanceM;
    const missQ = radiusM - q.distanceM;
    if (Math.abs(missP) < 1e-10 && Math.abs(missQ) < 1e-10) {
      const clear = nearestFoot(walls, x, y, radiusM - 1e-6);
      if (clear === undefined) return { circle: { at: { x, y }, radiusM }, chord };
      break;
    }
    const ux = (x - p.x) / p.distanceM;
    const uy = (y - p.y) / p.distanceM;
    const vx = (x - q.x) / q.distanceM;
    const vy = (y - q.y) / q.distanceM;
    const determinant = ux * vy - uy * vx;
    if (!(Math.abs(determinant) > 1e-7)) break;
    const dx = (missP * vy - missQ * uy) / determinant;
    const dy = (missQ * ux - missP * vx) / determinant;
    const stepM = Math.sqrt(dx * dx + dy * dy);
    const damp = stepM > radiusM / 2 ? radiusM / 2 / stepM : 1;
    x += damp * dx;
    y += damp * dy;
  }
  return first ?? { circle: { at: start, radiusM }, chord: { p: a, q: b } };
}

function feetOnSides(walls: Walls, x: number, y: number, a: PlanePoint, b: PlanePoint, radiusM: number) {
  const sides = nearestSides(walls, x, y, a, b, 1.5 * radiusM);
  if (sides === undefined) return undefined;
  const p = footOn(walls, sides.ofA, x, y);
  const q = footOn(walls, sides.ofB, x, y);
  return p.distanceM === 0 || q.distanceM === 0 ? undefined : { p, q };
}

/** The nearest segment on each of the two sides of a place; a segment is on the side of a where its foot is nearer to a than to b. */
function nearestSides(
  { index, segments: s }: Walls,
  x: number,
  y: number,
  a: PlanePoint,
  b: PlanePoint,
  reachM: number,
): { readonly ofA: number; readonly ofB: number } | undefined {
  let ofA = -1;
  let ofB = -1;
  let bestA = Number.POSITIVE_INFINITY;
  let bestB = Number.POSITIVE_INFINITY;
  index.search(x - reachM, y - reachM, x + reachM, y + reachM, (segment) => {
    const k = 4 * segment;
    const t = parameterOnSegment(x, y, s[k], s[k + 1], s[k + 2], s[k + 3]);
    const fx = s[k] + t * (s[k + 2] - s[k]);
    const fy = s[k + 1] + t * (s[k + 3] - s[k + 1]);
    const farSquared = (fx - x) * (fx - x) + (fy - y) * (fy - y);
    const isOfA = (fx - a.x) * (fx - a.x) + (fy - a.y) * (fy - a.y) < (fx - b.x) * (fx - b.x) + (fy - b.y) * (fy - b.y);
    if (isOfA && farSquared < bestA) {
      ofA = segment;
      bestA = farSquared;
    } else if (!isOfA && farSquared < bestB) {
      ofB = segment;
      bestB = farSquared;
    }
    return false;
  });
  return ofA < 0 || ofB < 0 ? undefined : { ofA, ofB };
}

function wallsAround(walls: Walls, at: PlanePoint, windowM: number): number[] {
  const { x, y } = at;
  return walls.index.search(
    x - windowM,
    y - windowM,
    x + windowM,
    y + windowM,
    (segment) => footOn(walls, segment, x, y).distanceM <= windowM,
  );
}

function isWithin({ p, q }: Chord, a: PlanePoint, b: PlanePoint, windowM: number): boolean {
  return squared(p, a) <= windowM * windowM && squared(q, b) <= windowM * windowM;
}

/** Distance between two segments that do not cross. */
function apartOf({ segments: s }: Walls, i: number, j: number): number {
  const [m, n] = [4 * i, 4 * j];
  return Math.min(
    pointSegmentM(s[m], s[m + 1], s[n], s[n + 1], s[n + 2], s[n + 3]),
    pointSegmentM(s[m + 2], s[m + 3], s[n], s[n + 1], s[n + 2], s[n + 3]),
    pointSegmentM(s[n], s[n + 1], s[m], s[m + 1], s[m + 2], s[m + 3]),
    pointSegmentM(s[n + 2], s[n + 3], s[m], s[m + 1], s[m + 2], s[m + 3]),
  );
}

/** Shortest chord between two segments that do not cross; between parallel ones the chord nearest to the middle of a and b. */
function shortestChord(walls: Walls, i: number, j: number, a: PlanePoint, b: PlanePoint): MeasuredChord {
  const s = walls.segments;
  const [m, n] = [4 * i, 4 * j];
  const halves = [
    footOn(walls, j, s[m], s[m + 1]).distanceM / 2,
    footOn(walls, j, s[m + 2], s[m + 3]).distanceM / 2,
    footOn(walls, i, s[n], s[n + 1]).distanceM / 2,
    footOn(walls, i, s[n + 2], s[n + 3]).distanceM / 2,
  ];
  let shortest = 0;
  for (let k = 1; k < 4; k++) if (halves[k] < halves[shortest]) shortest = k;
  const limitM = halves[shortest] + 1e-9;
  let tied = 0;
  for (let k = 0; k < 4; k++) if (halves[k] < limitM) tied++;
  if (tied === 1) return chordFromEnd(walls, i, j, shortest);
  // Tied chords of parallel walls bound the stretch over which they face each other.
  const dx = s[m + 2] - s[m];
  const dy = s[m + 3] - s[m + 1];
  const along = (x: number, y: number): number => ((x - s[m]) * dx + (y - s[m + 1]) * dy) / (dx * dx + dy * dy);
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < 4; k++) {
    if (!(halves[k] < limitM)) continue;
    const { p } = chordFromEnd(walls, i, j, k);
    const end = along(p.x, p.y);
    least = Math.min(least, end);
    most = Math.max(most, end);
  }
  const t = Math.max(least, Math.min(most, along((a.x + b.x) / 2, (a.y + b.y) / 2)));
  const p = { x: s[m] + t * dx, y: s[m + 1] + t * dy };
  const q = footOn(walls, j, p.x, p.y);
  return { p, q, halfM: q.distanceM / 2 };
}

/** From an end of one segment straight to the other: ends 0 and 1 are those of i, 2 and 3 those of j. */
function chordFromEnd(walls: Walls, i: number, j: number, end: number): MeasuredChord {
  const s = walls.segments;
  const k = 4 * (end < 2 ? i : j) + 2 * (end % 2);
  const corner = { x: s[k], y: s[k + 1] };
  const foot = footOn(walls, end < 2 ? j : i, corner.x, corner.y);
  return end < 2
    ? { p: corner, q: foot, halfM: foot.distanceM / 2 }
    : { p: foot, q: corner, halfM: foot.distanceM / 2 };
}

function isDiametralCircleClear(walls: Walls, chord: MeasuredChord): boolean {
  const x = (chord.p.x + chord.q.x) / 2;
  const y = (chord.p.y + chord.q.y) / 2;
  const r = chord.halfM;
  return !walls.index.collides(x - r, y - r, x + r, y + r, (segment) => {
    return footOn(walls, segment, x, y).distanceM < r - CLEAR_M;
  });
}

function squared(a: PlanePoint, b: PlanePoint): number {
  return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y);
}
