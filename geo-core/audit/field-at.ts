import type { Polyline } from '#geo-core/model/position.ts';

/** mu0 / 4 pi = 1e-7 T m/A, in nT: 100 nT m/A (mu0 = 4 pi 1e-7; the CODATA value differs by about 1e-10). */
const NT_M_PER_A = 100;
/** Twice the area, square metres, between a place and a wire that points at it: such a wire makes no field there. */
const ABREAST_M2 = 1e-9;

/**
 * Vertical field, nT at 1 A, of a wire in its own plane at (x, y) metres; up is positive. The textbook form of Biot-Savart for
 * a straight wire seen under the angles alpha and beta from its two ends, Bz = (mu0 I / 4 pi d) (cos alpha - cos beta), d its
 * signed distance (D. J. Griffiths, Introduction to Electrodynamics, ch. 5); with l = a - b and d = l x a / |l|:
 *
 *     Bz = (mu0 I / 4 pi) (l.a / |a| - l.b / |b|) / (l x a)
 */
export function fieldAtNt(line: Polyline, x: number, y: number): number {
  let sum = 0;
  let ax = x - line[0];
  let ay = y - line[1];
  let a = Math.sqrt(ax * ax + ay * ay);
  for (let i = 2; i < line.length; i += 2) {
    const bx = x - line[i];
    const by = y - line[i + 1];
    const b = Math.sqrt(bx * bx + by * by);
    const lx = ax - bx;
    const ly = ay - by;
    const turn = lx * ay - ly * ax;
    if (turn > ABREAST_M2 || turn < -ABREAST_M2) {
      sum += ((lx * ax + ly * ay) * b - (lx * bx + ly * by) * a) / (a * b * turn);
    }
    ax = bx;
    ay = by;
    a = b;
  }
  return NT_M_PER_A * sum;
}
