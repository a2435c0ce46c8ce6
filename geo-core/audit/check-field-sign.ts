import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence, Wires } from './evidence.ts';
import { fieldAtNt } from './field-at.ts';
import { placesBeside } from './places-beside.ts';
import { worstCase } from './worst-case.ts';

/** A field this strong at 1 A has a sign: far above what rounding leaves of two opposite wires, far below what a lawn makes a field away. */
const LEAST_NT = 1e-4;
/** Places stand this far apart along each loop, or farther where the plan would need more segments looked at than this. */
const SPACING_M = 4;
const LOOKS_AT_MOST = 10_000;
const LEAST_PLACES = 8;
/** On a shorter piece, metres, there is no place beside it that is not beside its neighbours too. */
const LEAST_PIECE_M = 0.01;

/**
 * The field of each route points up inside the working area and down outside, looked at 5 mm to both sides of the wire at
 * places all along every loop and lead. In the plane of the wire Bz(p) = -(mu0 I / 4 pi) x the integral of (w(q) - w(p)) / |q - p|^3
 * over q (D. J. Griffiths, ch. 5, a loop as a sheet of dipoles), so with winding numbers 0 and 1 it is positive wherever w is 1 and
 * negative wherever it is 0; a wire laid the wrong way, or a lead whose two currents do not cancel, turns it beside itself.
 * Worst is what is missing to a clear sign, nT at 1 A.
 */
export function checkFieldSign({ wires, area, route }: Evidence): AuditCheck {
  const worst = worstCase('field-sign', 'nT', 0);
  const spacingM = spacingOf(wires);
  const passedM = new Float64Array(wires.ownerLengthM.length).fill(spacingM);
  const beside = placesBeside(wires);
  for (let i = 0; i < wires.count; i++) {
    const owner = wires.owner[i];
    passedM[owner] += wires.lengthM[i];
    if (wires.lengthM[i] < LEAST_PIECE_M || passedM[owner] < spacingM) continue;
    passedM[owner] = 0;
    for (let at = 4 * i; at < 4 * i + 4; at += 2) {
      const [x, y] = [beside[at], beside[at + 1]];
      const up = area.scan.windingAt(x, y) > 0 ? 1 : -1;
      const fieldNt = fieldAtNt(route.routes[wires.group[i]].line, x, y);
      if (!(up * fieldNt >= LEAST_NT)) worst.see(LEAST_NT - up * fieldNt, { x, y });
    }
  }
  return worst.check();
}

function spacingOf({ count, ownerLengthM }: Wires): number {
  const wholeM = ownerLengthM.reduce((sum, each) => sum + each, 0);
  const places = Math.max(LEAST_PLACES, LOOKS_AT_MOST / (2 * Math.max(1, count)));
  return Math.max(SPACING_M, wholeM / places);
}
