/** Cosines and sines of 0, 60, ... 300 degrees. */
const SIN_60 = Math.sqrt(3) / 2;
const COSINES = [1, 0.5, -0.5, -1, -0.5, 0.5];
const SINES = [0, SIN_60, SIN_60, 0, -SIN_60, -SIN_60];

/** A convex set by its corners, flat x, y. */
type Hull = { readonly corners: Float64Array };

/** Where the least sum is reached: its direction and the place in every set (flat x, y). */
export type LeastSum = {
  readonly lengthM: number;
  readonly ux: number;
  readonly uy: number;
  readonly places: readonly number[];
};

/** A sum of one corner of each set, and which: offsets of their x. */
type CornerSum = { readonly x: number; readonly y: number; readonly picked: readonly number[] };

const NO_SUM: LeastSum = { lengthM: 0, ux: 0, uy: 0, places: [] };
const MOST_ROUNDS = 64;
const SETTLED_M = 1e-11;

/**
 * The least length of a sum of points, one of each convex set, each turned by so many times 60 degrees: the nearest point
 * of the sum of the turned sets to the origin (Gilbert, Johnson and Keerthi 1988, from memory; in the plane it ends after few corners).
 * A sum of 0 has no direction. Undefined where all sums are `mostM` and more.
 */
export function leastTurnedSum(sets: readonly Hull[], turns: readonly number[], mostM: number): LeastSum | undefined {
  // The nearest point so far lies at `share` from a to b.
  let a = pick(sets, turns, 0, 0);
  let b = a;
  let { x, y } = a;
  let share = 0;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const lengthM = Math.sqrt(x * x + y * y);
    if (lengthM < SETTLED_M) return NO_SUM;
    const ux = x / lengthM;
    const uy = y / lengthM;
    const c = pick(sets, turns, ux, uy);
    const leastM = ux * c.x + uy * c.y;
    if (leastM >= mostM) return undefined;
    if (lengthM - leastM <= SETTLED_M * (1 + lengthM)) {
      return lengthM < mostM ? { lengthM, ux, uy, places: placesAt(sets, a.picked, b.picked, share) } : undefined;
    }
    if (holdsOrigin(a, b, c)) return NO_SUM;
    const s = nearestShare(a, c);
    const t = nearestShare(b, c);
    if (offM2(a, c, s) <= offM2(b, c, t)) {
      b = c;
      share = s;
    } else {
      a = c;
      share = 1 - t;
    }
    x = a.x + share * (b.x - a.x);
    y = a.y + share * (b.y - a.y);
  }
  return NO_SUM;
}

/** The corner of every set that lies farthest against direction (ux, uy) once turned, and their sum. */
function pick(sets: readonly Hull[], turns: readonly number[], ux: number, uy: number): CornerSum {
  const picked: number[] = [];
  let x = 0;
  let y = 0;
  for (let k = 0; k < sets.length; k++) {
    const set = sets[k].corners;
    const cos = COSINES[turns[k]];
    const sin = SINES[turns[k]];
    const vx = cos * ux + sin * uy;
    const vy = cos * uy - sin * ux;
    let at = 0;
    let leastM = vx * set[0] + vy * set[1];
    for (let i = 2; i < set.length; i += 2) {
      const alongM = vx * set[i] + vy * set[i + 1];
      if (alongM < leastM) {
        at = i;
        leastM = alongM;
      }
    }
    picked.push(at);
    x += cos * set[at] - sin * set[at + 1];
    y += sin * set[at] + cos * set[at + 1];
  }
  return { x, y, picked };
}

function placesAt(
  sets: readonly Hull[],
  first: readonly number[],
  second: readonly number[],
  share: number,
): readonly number[] {
  const places: number[] = [];
  for (let k = 0; k < sets.length; k++) {
    const set = sets[k].corners;
    for (let axis = 0; axis < 2; axis++) {
      const from = set[first[k] + axis];
      const to = set[second[k] + axis];
      places.push(share === 1 ? to : from + share * (to - from));
    }
  }
  return places;
}

/** The share from p to q at which the segment comes nearest to the origin. */
function nearestShare(p: CornerSum, q: CornerSum): number {
  const dx = q.x - p.x;
  const dy = q.y - p.y;
  const squared = dx * dx + dy * dy;
  return squared === 0 ? 0 : Math.min(1, Math.max(0, -(p.x * dx + p.y * dy) / squared));
}

function offM2(p: CornerSum, q: CornerSum, share: number): number {
  const x = p.x + share * (q.x - p.x);
  const y = p.y + share * (q.y - p.y);
  return x * x + y * y;
}

function holdsOrigin(a: CornerSum, b: CornerSum, c: CornerSum): boolean {
  const ab = a.x * b.y - a.y * b.x;
  const bc = b.x * c.y - b.y * c.x;
  const ca = c.x * a.y - c.y * a.x;
  return (ab > 0 && bc > 0 && ca > 0) || (ab < 0 && bc < 0 && ca < 0);
}

/** Direction (ux, uy) turned back by so many times 60 degrees. */
export function turnedBack(turn: number, ux: number, uy: number): readonly [number, number] {
  return [COSINES[turn] * ux + SINES[turn] * uy, COSINES[turn] * uy - SINES[turn] * ux];
}
