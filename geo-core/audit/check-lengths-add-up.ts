import type { AuditCheck, Route } from '#geo-core/model/plane-plan.ts';
import { distanceM, lineLengthM, ringLengthM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

/**
 * Chainage is the walked length at every vertex, from 0 to the route's length; spans follow each other without a gap;
 * boundary + keep-out + 2 x lead lengths are the routes' length. Worst is the largest difference, metres.
 */
export function checkLengthsAddUp({ route, loops }: Evidence): AuditCheck {
  const worst = worstCase('lengths-add-up', 'm', 1e-6);
  let routesM = 0;
  for (const each of route.routes) {
    routesM += each.lengthM;
    seeChainage(each, worst);
    seeSpans(each, worst);
  }
  let partsM = 0;
  for (const loop of loops.loops) {
    const lengthM = ringLengthM(loop.ring);
    worst.see(Math.abs(lengthM - loop.lengthM), { x: loop.ring[0], y: loop.ring[1] });
    partsM += lengthM;
  }
  for (const lead of route.leads) {
    const lengthM = lineLengthM(lead.line);
    worst.see(Math.abs(lengthM - lead.lengthM), { x: lead.line[0], y: lead.line[1] });
    partsM += 2 * lengthM;
  }
  worst.see(Math.abs(routesM - partsM));
  return worst.check();
}

function seeChainage({ line, chainageM, lengthM }: Route, worst: WorstCase): void {
  let walkedM = 0;
  for (let i = 0; i < line.length; i += 2) {
    if (i > 0) walkedM += distanceM(line[i - 2], line[i - 1], line[i], line[i + 1]);
    worst.see(Math.abs(chainageM[i / 2] - walkedM), { x: line[i], y: line[i + 1] });
  }
  worst.see(Math.abs(lengthM - walkedM), { x: line[0], y: line[1] });
  worst.see(Math.abs(chainageM.length - line.length / 2), { x: line[0], y: line[1] });
}

/** A gap between spans counts as the length it leaves out; spans that do not follow each other count as the whole route. */
function seeSpans({ line, chainageM, lengthM, spans }: Route, worst: WorstCase): void {
  let reached = 0;
  for (const { firstVertex, lastVertex } of spans) {
    const at = { x: line[firstVertex * 2], y: line[firstVertex * 2 + 1] };
    worst.see(Math.abs(chainageM[firstVertex] - chainageM[reached]), at);
    worst.see(lastVertex > firstVertex ? 0 : lengthM, at);
    reached = lastVertex;
  }
  worst.see(Math.abs(chainageM[reached] - lengthM), { x: line[reached * 2], y: line[reached * 2 + 1] });
}
