import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Evidence } from './evidence.ts';
import { placeBeside } from './place-beside.ts';
import { worstCase } from './worst-case.ts';

const SIDES = [1, -1] as const;

/**
 * The winding number of the routes is 1 left of every boundary and keep-out wire and 0 right of it, 1 just inside every
 * outline of the working area and 0 just outside, 0 just inside every keep-out that gets wire and just outside the ground.
 * The number is constant between wires, so these places stand for all ground. It is what makes the field point up inside
 * and down outside (see the theorem in the field module's tests). Worst is the largest difference.
 */
export function checkWinding(evidence: Evidence): AuditCheck {
  const { wires, route, area, keepOutEdges, ground } = evidence;
  const worst = worstCase('winding', '1', 0);
  const several = route.routes.length > 1;
  const expect = (place: PlanePoint, expected: number, unit?: number): void => {
    const off = Math.abs(wires.scan.windingAt(place.x, place.y, unit) - expected);
    if (off > 0) worst.see(off, place);
  };
  for (let i = 0; i < wires.count; i++) {
    if (wires.isLead[i] || wires.lengthM[i] === 0) continue;
    for (const side of SIDES) {
      const place = placeBeside(wires, i, side);
      expect(place, side === 1 ? 1 : 0);
      if (several) expect(place, side === 1 ? 1 : 0, wires.group[i]);
    }
  }
  for (let i = 0; i < area.count; i++) {
    for (const side of SIDES) expect(placeBeside(area, i, side), side === 1 ? 1 : 0);
  }
  for (let i = 0; i < keepOutEdges.count; i++) {
    const place = placeBeside(keepOutEdges, i, 1);
    if (keepOutEdges.scan.windingAt(place.x, place.y) > 0) expect(place, 0);
  }
  for (let i = 0; i < ground.count; i++) {
    const place = placeBeside(ground, i, -1);
    if (ground.scan.windingAt(place.x, place.y) === 0) expect(place, 0);
  }
  return worst.check();
}
