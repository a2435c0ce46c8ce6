import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Evidence, Wires } from './evidence.ts';
import { placeBeside } from './place-beside.ts';
import type { Segments } from './segments.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

/**
 * The winding number of the routes is 1 left of every boundary and keep-out wire and 0 right of it, 1 just inside every
 * outline of the working area and 0 just outside, 0 just inside every keep-out that gets wire and just outside the ground.
 * The number is constant between wires, so these places stand for all ground. It is what makes the field point up inside
 * and down outside (see the theorem in the field module's tests). Worst is the largest difference.
 */
export function checkWinding({ wires, route, area, keepOutEdges, ground }: Evidence): AuditCheck {
  const worst = worstCase('winding', '1', 0);
  const several = route.routes.length > 1;
  for (let i = 0; i < wires.count; i++) {
    if (wires.isLead[i] || wires.lengthM[i] === 0) continue;
    seeSides(wires, wires, i, worst);
    if (several) seeSides(wires, wires, i, worst, wires.group[i]);
  }
  for (let i = 0; i < area.count; i++) seeSides(wires, area, i, worst);
  for (let i = 0; i < keepOutEdges.count; i++) {
    const place = placeBeside(keepOutEdges, i, 1);
    if (keepOutEdges.scan.windingAt(place.x, place.y) > 0) see(wires, place, 0, worst);
  }
  for (let i = 0; i < ground.count; i++) {
    const place = placeBeside(ground, i, -1);
    if (ground.scan.windingAt(place.x, place.y) === 0) see(wires, place, 0, worst);
  }
  return worst.check();
}

/** 1 on the left of a segment, 0 on its right. */
function seeSides(wires: Wires, along: Segments, i: number, worst: WorstCase, only?: number): void {
  see(wires, placeBeside(along, i, 1), 1, worst, only);
  see(wires, placeBeside(along, i, -1), 0, worst, only);
}

function see({ scan }: Wires, place: PlanePoint, expected: number, worst: WorstCase, only?: number): void {
  const winding = scan.windingAt(place.x, place.y, only);
  if (winding !== expected) worst.see(Math.abs(winding - expected), place);
}
