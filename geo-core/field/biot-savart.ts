import type { Polyline } from '#geo-core/model/position.ts';

/** mu0 / 4 pi = 1e-7 T m/A, in nT: 100 nT m/A (mu0 = 4 pi 1e-7; the CODATA value differs by about 1e-10). */
const NT_M_PER_A = 100;

/**
 * Vertical part of the magnetic field of a wire, nT at 1 A, at (x, y) metres and `heightM` above the wire's plane; up is positive,
 * so a wire run anticlockwise reads positive inside. The wire is the line as given: a closed one repeats its first vertex.
 *
 *     b = point - end      Biot-Savart for one straight segment L = a - b, a and b seen from its two ends:
 *    start ---L---> end    Bz = (mu0 I / 4 pi) (L x a)z (|a| + |b|) / (|a| |b| (|a| |b| + a.b))
 *      \a        /b        (D. J. Griffiths, Introduction to Electrodynamics, ch. 5)
 *          point
 *
 * Abreast of the segment (a.b < 0) the last factor cancels, so it is taken as |a x b|^2 / (|a| |b| - a.b), which is the same number.
 * A point exactly on the wire has no field: NaN. Thin wire, uniform current, no iron, no soil: proves sign and cancellation, not a
 * receiver's range.
 */
export function verticalFieldNt(line: Polyline, x: number, y: number, heightM = 0): number {
  const heightSquared = heightM * heightM;
  let sum = 0;
  let ax = x - line[0];
  let ay = y - line[1];
  let a = Math.sqrt(ax * ax + ay * ay + heightSquared);
  for (let i = 2; i + 1 < line.length; i += 2) {
    const bx = x - line[i];
    const by = y - line[i + 1];
    const b = Math.sqrt(bx * bx + by * by + heightSquared);
    const lx = ax - bx;
    const ly = ay - by;
    const turn = lx * ay - ly * ax;
    const dot = ax * bx + ay * by + heightSquared;
    const product = a * b;
    const nearness = dot > 0 ? product + dot : (turn * turn + heightSquared * (lx * lx + ly * ly)) / (product - dot);
    if (lx !== 0 || ly !== 0) sum += (turn * (a + b)) / (product * nearness);
    ax = bx;
    ay = by;
    a = b;
  }
  return NT_M_PER_A * sum;
}

/** The same of several wires together. */
export function fieldOfWiresNt(lines: readonly Polyline[], x: number, y: number, heightM: number): number {
  let sumNt = 0;
  for (const line of lines) sumNt += verticalFieldNt(line, x, y, heightM);
  return sumNt;
}
