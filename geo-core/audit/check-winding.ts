import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { placesBeside } from './places-beside.ts';
import type { ScanLines } from './scan-lines.ts';
import { type WorstCase, worstCase } from './worst-case.ts';

/**
 * The winding number of the routes is 1 left of every boundary and keep-out wire and 0 right of it, 1 just inside every
 * outline of the working area and 0 just outside, 0 just inside every keep-out that gets wire and just outside the ground.
 * So the working area is all ground of winding number 1 if only it has the same area, which areas-add-up looks at. The number is constant between wires, so these places stand for all ground. It is what makes the field point up inside
 * and down outside (see the theorem in the field module's tests). Worst is the largest difference.
 */
export function checkWinding({ wires, route, area, keepOutEdges, ground }: Evidence): AuditCheck {
  const worst = worstCase('winding', '1', 0);
  const several = route.routes.length > 1;
  const besideWires = placesBeside(wires);
  for (let i = 0; i < wires.count; i++) {
    if (wires.isLead[i] || wires.lengthM[i] === 0) continue;
    seeSides(wires.scan, besideWires, i, worst);
    if (several) seeSides(wires.scan, besideWires, i, worst, wires.group[i]);
  }
  const besideArea = placesBeside(area);
  for (let i = 0; i < area.count; i++) seeSides(wires.scan, besideArea, i, worst);
  const besideKeepOuts = placesBeside(keepOutEdges);
  for (let at = 0; at < besideKeepOuts.length; at += 4) {
    const [x, y] = [besideKeepOuts[at], besideKeepOuts[at + 1]];
    if (keepOutEdges.scan.windingAt(x, y) > 0) see(wires.scan, x, y, 0, worst);
  }
  const besideGround = placesBeside(ground);
  for (let at = 2; at < besideGround.length; at += 4) {
    const [x, y] = [besideGround[at], besideGround[at + 1]];
    if (ground.scan.windingAt(x, y) === 0) see(wires.scan, x, y, 0, worst);
  }
  return worst.check();
}

/** 1 on the left of a segment, 0 on its right. */
function seeSides(scan: ScanLines, beside: Float64Array, i: number, worst: WorstCase, only?: number): void {
  see(scan, beside[4 * i], beside[4 * i + 1], 1, worst, only);
  see(scan, beside[4 * i + 2], beside[4 * i + 3], 0, worst, only);
}

function see(scan: ScanLines, x: number, y: number, expected: number, worst: WorstCase, only?: number): void {
  const winding = scan.windingAt(x, y, only);
  if (winding !== expected) worst.see(Math.abs(winding - expected), { x, y });
}
