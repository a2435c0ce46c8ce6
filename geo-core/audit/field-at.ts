import type { Segments } from './segments.ts';

/** mu0 / 4 pi = 1e-7 T m/A, in nT: 100 nT m/A (mu0 = 4 pi 1e-7; the CODATA value differs by about 1e-10). */
const NT_M_PER_A = 100;
/** Twice the area, square metres, between a place and a wire that points at it: such a wire makes no field there. */
const ABREAST_M2 = 1e-9;

/**
 * Vertical field, nT at 1 A, in the plane of the wire at (x, y), of the segments `first` to before `end`; up is positive. The
 * textbook form of Biot-Savart for a straight wire seen under the angles alpha and beta from its two ends,
 * Bz = (mu0 I / 4 pi d) (cos alpha - cos beta), d its signed distance (D. J. Griffiths, Introduction to Electrodynamics, ch. 5).
 */
export function fieldAtNt({ abXy }: Segments, first: number, end: number, x: number, y: number): number {
  let sum = 0;
  for (let k = first; k < end; k++) {
    const [ax, ay] = [x - abXy[4 * k], y - abXy[4 * k + 1]];
    const [bx, by] = [x - abXy[4 * k + 2], y - abXy[4 * k + 3]];
    const [lx, ly] = [ax - bx, ay - by];
    const turn = lx * ay - ly * ax;
    if (turn < ABREAST_M2 && turn > -ABREAST_M2) continue;
    sum +=
      ((ax * lx + ay * ly) / Math.sqrt(ax * ax + ay * ay) - (bx * lx + by * ly) / Math.sqrt(bx * bx + by * by)) / turn;
  }
  return NT_M_PER_A * sum;
}
