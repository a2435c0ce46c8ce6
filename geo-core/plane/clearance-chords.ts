import type { PlanePoint } from '#geo-core/model/position.ts';
import { type Foot, footOn, nearestFoot, type Walls } from './clearance-walls.ts';
import type { Place } from './widest-place.ts';

/** A straight line inside from wall to wall. */
export type Chord = { readonly p: PlanePoint; readonly q: PlanePoint };
export type MeasuredChord = Chord & { readonly halfM: number };

/** A circle that touches the walls at the two ends of the chord. */
export type Mouth = { readonly circle: Place; readonly chord: Chord };

/** Slack of "nothing lies inside the circle over the chord", metres. */
const CLEAR_M = 1e-7;

/**
 * The narrowest chord between the true walls around a and those around b whose diametral circle is clear: there the clearance has a
 * saddle, and the clear width between the walls is the chord's length, exactly. Both ends lie within `windowM` of a and b.
 * Undefined where the walls have no such place there (they still draw nearer to each other further on).
 */
export function criticalChord(
  walls: Walls,
  a: PlanePoint,
  b: PlanePoint,
  windowM: number,
  leastHalfM: number,
): MeasuredChord | undefined {
  let best: MeasuredChord | undefined;
  for (const chord of chordsBetween(walls, a, b, windowM)) {
    if (chord.halfM < leastHalfM || (best !== undefined && chord.halfM >= best.halfM)) continue;
    if (isDiametralCircleClear(walls, chord)) best = chord;
  }
  return best;
}

/** Slides a chord along both walls until no shorter one lies within `windowM` of its ends. Never loops: it must get shorter each time. */
export function slideToShortest(walls: Walls, a: PlanePoint, b: PlanePoint, windowM: number): MeasuredChord {
  let best: MeasuredChord = { p: a, q: b, halfM: Math.sqrt((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)) / 2 };
  for (let step = 0; step < 64; step++) {
    let next = best;
    for (const chord of chordsBetween(walls, best.p, best.q, windowM)) {
      if (chord.halfM < next.halfM - 1e-9 && chord.halfM > best.halfM / 2) next = chord;
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
    first ??= { circle: { at: { x, y }, radiusM: Math.min(p.distanceM, q.distanceM) }, chord: feet };
    const missP = radiusM - p.distanceM;
    const missQ = radiusM - q.distanceM;
    if (Math.abs(missP) < 1e-10 && Math.abs(missQ) < 1e-10) {
      const clear = nearestFoot(walls, x, y, radiusM - 1e-6);
      if (clear === undefined) return { circle: { at: { x, y }, radiusM }, chord: feet };
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

/** Nearest points on the two sides of a place; a wall belongs to the side whose last foot is nearer. */
function feetOnSides(
  walls: Walls,
  x: number,
  y: number,
  a: PlanePoint,
  b: PlanePoint,
  radiusM: number,
): { p: Foot; q: Foot } | undefined {
  const reachM = 1.5 * radiusM;
  let p: Foot | undefined;
  let q: Foot | undefined;
  walls.index.search(x - reachM, y - reachM, x + reachM, y + reachM, (segment) => {
    const foot = footOn(walls, segment, x, y);
    if (squared(foot, a) < squared(foot, b)) {
      if (p === undefined || foot.distanceM < p.distanceM) p = foot;
    } else if (q === undefined || foot.distanceM < q.distanceM) q = foot;
    return false;
  });
  if (p === undefined || q === undefined || p.distanceM === 0 || q.distanceM === 0) return undefined;
  return { p, q };
}

/** Shortest chords between every segment around a and every segment around b. */
function chordsBetween(walls: Walls, a: PlanePoint, b: PlanePoint, windowM: number): MeasuredChord[] {
  const around = (at: PlanePoint): number[] =>
    walls.index.search(
      at.x - windowM,
      at.y - windowM,
      at.x + windowM,
      at.y + windowM,
      (segment) => footOn(walls, segment, at.x, at.y).distanceM <= windowM,
    );
  const ofB = around(b);
  const chords: MeasuredChord[] = [];
  for (const i of around(a)) {
    for (const j of ofB) {
      if (i === j) continue;
      const chord = shortestChord(walls, i, j, a, b);
      if (squared(chord.p, a) <= windowM * windowM && squared(chord.q, b) <= windowM * windowM) chords.push(chord);
    }
  }
  return chords;
}

/** Shortest chord between two segments that do not cross; between parallel ones the chord nearest to the middle of a and b. */
function shortestChord(walls: Walls, i: number, j: number, a: PlanePoint, b: PlanePoint): MeasuredChord {
  const s = walls.segments;
  const tries: { p: PlanePoint; q: PlanePoint; halfM: number }[] = [];
  for (const k of [4 * i, 4 * i + 2]) {
    const foot = footOn(walls, j, s[k], s[k + 1]);
    tries.push({ p: { x: s[k], y: s[k + 1] }, q: foot, halfM: foot.distanceM / 2 });
  }
  for (const k of [4 * j, 4 * j + 2]) {
    const foot = footOn(walls, i, s[k], s[k + 1]);
    tries.push({ p: foot, q: { x: s[k], y: s[k + 1] }, halfM: foot.distanceM / 2 });
  }
  const shortest = tries.reduce((best, chord) => (chord.halfM < best.halfM ? chord : best));
  const tied = tries.filter((chord) => chord.halfM < shortest.halfM + 1e-9);
  if (tied.length === 1) return shortest;
  // Tied chords of parallel walls bound the stretch over which they face each other.
  const along = (at: PlanePoint): number => {
    const dx = s[4 * i + 2] - s[4 * i];
    const dy = s[4 * i + 3] - s[4 * i + 1];
    return ((at.x - s[4 * i]) * dx + (at.y - s[4 * i + 1]) * dy) / (dx * dx + dy * dy);
  };
  const ends = tied.map((chord) => along(chord.p));
  const wished = along({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });
  const t = Math.max(Math.min(...ends), Math.min(Math.max(...ends), wished));
  const p = { x: s[4 * i] + t * (s[4 * i + 2] - s[4 * i]), y: s[4 * i + 1] + t * (s[4 * i + 3] - s[4 * i + 1]) };
  const q = footOn(walls, j, p.x, p.y);
  return { p, q, halfM: q.distanceM / 2 };
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
