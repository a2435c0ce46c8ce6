import type { AuditCheck, Lead, Peg } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polyline } from '#geo-core/model/position.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { alongLine } from './along-line.ts';
import type { Evidence } from './evidence.ts';
import { pegsOfUnit } from './pegs-of-unit.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

/** How far a wire pulled straight between two pegs may stray from its line: 20 mm, common practice, no source. */
const STRAY_M = 0.02;
const ROUNDING_M = 1e-6;
/** A peg this near a joint, metres, holds it. */
const SAME_PLACE_M = 1e-3;

type Held = Pick<Peg, 'at' | 'chainageM'>;

/**
 * A wire pulled straight from peg to peg stays on its line, so no corner lacks its peg; every place where a stretch of loop begins,
 * so every joint with a lead, has one, whichever stretch it was set for. Worst is how far the wire strays, metres.
 */
export function checkPegsHoldLine({ route, settingOut }: Evidence): AuditCheck {
  const worst = worstCase('pegs-hold-line', 'm', STRAY_M + ROUNDING_M);
  const onLeads = new Map(route.leads.map((lead) => [lead.id, { lead, held: [] as Held[] }]));
  for (const { signalUnit, spans, line, chainageM } of route.routes) {
    const pegs = pegsOfUnit(settingOut.pegs, signalUnit);
    const byX = pegs.toSorted((a, b) => a.at.x - b.at.x);
    let next = 0;
    for (const { id, firstVertex, lastVertex } of spans) {
      const first = next;
      while (next < pegs.length && pegs[next].chainageM <= chainageM[lastVertex] + ROUNDING_M) next++;
      const own = pegs.slice(first, next);
      const onLead = onLeads.get(id);
      if (onLead === undefined) {
        seeJoint(placeOf(line, firstVertex), byX, worst);
        seeStrays(line, chainageM, firstVertex, lastVertex, own, worst);
      } else
        for (const { at } of own) onLead.held.push({ at, chainageM: alongLine(onLead.lead.line, at.x, at.y).alongM });
    }
  }
  for (const { lead, held } of onLeads.values()) seeLead(lead, held, worst);
  return worst.check();
}

function placeOf(line: Polyline, vertex: number): PlanePoint {
  return { x: line[2 * vertex], y: line[2 * vertex + 1] };
}

/** How far the vertices of a stretch lie from the straight wire between the pegs before and after; its ends are held by the joints. */
function seeStrays(
  line: Polyline,
  chainageM: Float64Array,
  first: number,
  last: number,
  pegs: readonly Held[],
  worst: WorstCase,
): void {
  let before = placeOf(line, first);
  let next = 0;
  for (let vertex = first + 1; vertex < last; vertex++) {
    while (next < pegs.length && pegs[next].chainageM < chainageM[vertex] - ROUNDING_M) before = pegs[next++].at;
    const after = next < pegs.length ? pegs[next].at : placeOf(line, last);
    const [x, y] = [line[2 * vertex], line[2 * vertex + 1]];
    const strayM = pointSegmentM(x, y, before.x, before.y, after.x, after.y);
    if (worst.mayBeWorse(strayM)) worst.see(strayM, { x, y });
  }
}

/** Both wires of a lead share its pegs, set on the way out. */
function seeLead({ line }: Lead, held: readonly Held[], worst: WorstCase): void {
  if (line.length < 6) return;
  const chainageM = new Float64Array(line.length / 2);
  for (let i = 1; i < chainageM.length; i++)
    chainageM[i] = chainageM[i - 1] + distanceM(line[2 * i - 2], line[2 * i - 1], line[2 * i], line[2 * i + 1]);
  const pegs = held.toSorted((a, b) => a.chainageM - b.chainageM);
  seeStrays(line, chainageM, 0, chainageM.length - 1, pegs, worst);
}

/** A joint without a peg strays as far as the nearest one is away. `byX` is in the order of x. */
function seeJoint({ x, y }: PlanePoint, byX: readonly Peg[], worst: WorstCase): void {
  let [low, high] = [0, byX.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (byX[middle].at.x < x - SAME_PLACE_M) low = middle + 1;
    else high = middle;
  }
  const awayM = ({ at }: Peg): number => distanceM(x, y, at.x, at.y);
  for (let k = low; k < byX.length && byX[k].at.x <= x + SAME_PLACE_M; k++) if (awayM(byX[k]) <= SAME_PLACE_M) return;
  worst.see(Math.min(...byX.map(awayM)), { x, y });
}
