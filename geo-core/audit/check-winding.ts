import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { indexPolygons, type Segments, segmentLengthM, windingAt } from './segments.ts';
import { worstCase } from './worst-case.ts';

/** How far beside a wire the winding number is taken; less on very short segments, so that the place stays in its corner. */
const BESIDE_M = 0.005;
const BESIDE_SHARE = 0.05;

/**
 * The winding number of the routes is 1 left of every boundary and keep-out wire and 0 right of it, 1 just inside every
 * outline of the working area and 0 just outside, 0 just inside every keep-out that gets wire and just outside the ground.
 * The number is constant between wires, so these places stand for all ground. It is what makes the field point up inside
 * and down outside (see the theorem in the field module's tests). Worst is the largest difference.
 */
export function checkWinding(evidence: Evidence): AuditCheck {
  const { wires, route, loops, keepOutEdges, ground } = evidence;
  const worst = worstCase('winding', '1', 0);
  const several = route.routes.length > 1;
  const expect = (outline: Segments, i: number, sign: 1 | -1, expected: number, unit?: number) => {
    const place = placeBeside(outline, i, sign);
    worst.see(Math.abs(windingAt(wires, place.x, place.y) - expected), place);
    if (several && unit !== undefined) worst.see(Math.abs(windingAt(wires, place.x, place.y, unit) - expected), place);
  };
  for (let i = 0; i < wires.count; i++) {
    if (wires.of[i] === 'lead' || segmentLengthM(wires, i) === 0) continue;
    expect(wires, i, 1, 1, wires.group[i]);
    expect(wires, i, -1, 0, wires.group[i]);
  }
  const area = indexPolygons(loops.workingArea);
  for (let i = 0; i < area.count; i++) {
    expect(area, i, 1, 1);
    expect(area, i, -1, 0);
  }
  for (let i = 0; i < keepOutEdges.count; i++) {
    const { x, y } = placeBeside(keepOutEdges, i, 1);
    if (windingAt(keepOutEdges, x, y) > 0) expect(keepOutEdges, i, 1, 0);
  }
  for (let i = 0; i < ground.count; i++) {
    const { x, y } = placeBeside(ground, i, -1);
    if (windingAt(ground, x, y) === 0) expect(ground, i, -1, 0);
  }
  return worst.check();
}

/** A place beside the middle of a segment: to its left (1) or right (-1). */
function placeBeside(outline: Segments, i: number, sign: 1 | -1): { x: number; y: number } {
  const [ax, ay, bx, by] = outline.abXy.subarray(i * 4, i * 4 + 4);
  const lengthM = segmentLengthM(outline, i);
  if (lengthM === 0) return { x: ax, y: ay };
  const beside = (sign * Math.min(BESIDE_M, lengthM * BESIDE_SHARE)) / lengthM;
  return { x: (ax + bx) / 2 - (by - ay) * beside, y: (ay + by) / 2 + (bx - ax) * beside };
}
