/** Cosines and sines of 0, 60, ... 300 degrees. */
const SIN_60 = Math.sqrt(3) / 2;
const COSINES = [1, 0.5, -0.5, -1, -0.5, 0.5];
const SINES = [0, SIN_60, SIN_60, 0, -SIN_60, -SIN_60];

/** Where the least sum is reached: its direction and the place in every set (flat x, y). */
export type LeastSum = {
  readonly lengthM: number;
  readonly ux: number;
  readonly uy: number;
  readonly places: Float64Array;
};

const NO_SUM: LeastSum = { lengthM: 0, ux: 0, uy: 0, places: new Float64Array(0) };
const MOST_ROUNDS = 64;
const SETTLED_M = 1e-11;

/**
 * The least length of a sum of points, one of each convex set (flat corners), each turned by so many times 60 degrees: the nearest point
 * of the sum of the turned sets to the origin (Gilbert, Johnson and Keerthi 1988, from memory; in the plane it ends after few corners).
 * A sum of 0 has no direction. Undefined where all sums are `mostM` and more.
 */
export function leastTurnedSum(
  sets: readonly Float64Array[],
  turns: readonly number[],
  mostM: number,
): LeastSum | undefined {
  const count = sets.length;
  let [first, second, third] = [new Int32Array(count), new Int32Array(count), new Int32Array(count)];
  // Corner sums as x, y: of `first`, `second` and `third`; the nearest point lies at `share` between the first two.
  const [a, b, c] = [new Float64Array(2), new Float64Array(2), new Float64Array(2)];
  pick(sets, turns, 0, 0, first, a);
  b.set(a);
  let [x, y, share] = [a[0], a[1], 0];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const lengthM = Math.sqrt(x * x + y * y);
    if (lengthM < SETTLED_M) return NO_SUM;
    const [ux, uy] = [x / lengthM, y / lengthM];
    pick(sets, turns, ux, uy, third, c);
    const leastM = ux * c[0] + uy * c[1];
    if (leastM >= mostM) return undefined;
    if (lengthM - leastM <= SETTLED_M * (1 + lengthM)) {
      return lengthM < mostM ? { lengthM, ux, uy, places: placesAt(sets, first, second, share) } : undefined;
    }
    if (holdsOrigin(a, b, c)) return NO_SUM;
    const s = nearestShare(a, c);
    const t = nearestShare(b, c);
    if (offM2(a, c, s) <= offM2(b, c, t)) {
      [second, third] = [third, second];
      b.set(c);
      share = s;
    } else {
      [first, third] = [third, first];
      a.set(c);
      share = 1 - t;
    }
    x = a[0] + share * (b[0] - a[0]);
    y = a[1] + share * (b[1] - a[1]);
  }
  return NO_SUM;
}

/** The corner of every set that lies farthest against direction (ux, uy) once turned, and their sum. */
function pick(
  sets: readonly Float64Array[],
  turns: readonly number[],
  ux: number,
  uy: number,
  picked: Int32Array,
  sum: Float64Array,
): void {
  let [x, y] = [0, 0];
  for (let k = 0; k < sets.length; k++) {
    const set = sets[k];
    const cos = COSINES[turns[k]];
    const sin = SINES[turns[k]];
    const vx = cos * ux + sin * uy;
    const vy = cos * uy - sin * ux;
    let [at, leastM] = [0, vx * set[0] + vy * set[1]];
    for (let i = 2; i < set.length; i += 2) {
      const alongM = vx * set[i] + vy * set[i + 1];
      if (alongM < leastM) [at, leastM] = [i, alongM];
    }
    picked[k] = at;
    x += cos * set[at] - sin * set[at + 1];
    y += sin * set[at] + cos * set[at + 1];
  }
  sum[0] = x;
  sum[1] = y;
}

function placesAt(sets: readonly Float64Array[], first: Int32Array, second: Int32Array, share: number): Float64Array {
  const places = new Float64Array(2 * sets.length);
  for (let k = 0; k < sets.length; k++) {
    for (let axis = 0; axis < 2; axis++) {
      const from = sets[k][first[k] + axis];
      places[2 * k + axis] =
        share === 1 ? sets[k][second[k] + axis] : from + share * (sets[k][second[k] + axis] - from);
    }
  }
  return places;
}

/** The share from p to q at which the segment comes nearest to the origin. */
function nearestShare(p: Float64Array, q: Float64Array): number {
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  const squared = dx * dx + dy * dy;
  return squared === 0 ? 0 : Math.min(1, Math.max(0, -(p[0] * dx + p[1] * dy) / squared));
}

function offM2(p: Float64Array, q: Float64Array, share: number): number {
  const [x, y] = [p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1])];
  return x * x + y * y;
}

function holdsOrigin(a: Float64Array, b: Float64Array, c: Float64Array): boolean {
  const ab = a[0] * b[1] - a[1] * b[0];
  const bc = b[0] * c[1] - b[1] * c[0];
  const ca = c[0] * a[1] - c[1] * a[0];
  return (ab > 0 && bc > 0 && ca > 0) || (ab < 0 && bc < 0 && ca < 0);
}

/** Direction (ux, uy) turned back by so many times 60 degrees. */
export function turnedBack(turn: number, ux: number, uy: number): readonly [number, number] {
  return [COSINES[turn] * ux + SINES[turn] * uy, COSINES[turn] * uy - SINES[turn] * ux];
}
