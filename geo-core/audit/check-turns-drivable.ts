import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence, Wires } from './evidence.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

/** Of what is pegged as one corner, the cosine of the sharpest turn: 50 degrees to the left, where a square corner is two of 45. */
const LEFT_COSINE = 0.643;
/** And a right angle to the right, round what the machine keeps off. */
const RIGHT_COSINE = 0;
/** About two degrees: corners as surveyed, and rounding. */
const LIMIT = 0.03;
/** Shorter segments have no direction, metres. */
const NO_DIRECTION_M = 1e-6;

/**
 * No turn of a boundary or keep-out wire, as the route walks it, is sharper than a machine follows and a crew pegs as one corner; leads
 * that leave it do not count. A rule set without a chamfer leg asks for sharp corners. Worst is how far the cosine of a turn is below the allowed one.
 */
export function checkTurnsDrivable({ wires, rules }: Evidence): AuditCheck {
  const worst = worstCase('turns-drivable', '1', LIMIT);
  if (rules.chamferLegM === 0) return worst.check();
  const [first, last] = [new Map<number, number>(), new Map<number, number>()];
  for (let i = 0; i < wires.count; i++) {
    if (wires.isLead[i] || wires.lengthM[i] < NO_DIRECTION_M) continue;
    const owner = wires.owner[i];
    const before = last.get(owner);
    if (before === undefined) first.set(owner, i);
    else seeTurn(wires, before, i, worst);
    last.set(owner, i);
  }
  for (const [owner, i] of first) seeTurn(wires, last.get(owner) ?? i, i, worst);
  return worst.check();
}

function seeTurn({ abXy, lengthM }: Wires, i: number, j: number, worst: WorstCase): void {
  const [a, b] = [4 * i, 4 * j];
  const [ux, uy] = [abXy[a + 2] - abXy[a], abXy[a + 3] - abXy[a + 1]];
  const [vx, vy] = [abXy[b + 2] - abXy[b], abXy[b + 3] - abXy[b + 1]];
  const cosine = (ux * vx + uy * vy) / (lengthM[i] * lengthM[j]);
  const allowed = ux * vy - uy * vx > 0 ? LEFT_COSINE : RIGHT_COSINE;
  if (cosine < allowed) worst.see(allowed - cosine, { x: abXy[b], y: abXy[b + 1] });
}
