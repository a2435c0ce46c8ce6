import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { segmentsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * No wire crosses another, leads too; they may touch where a lead joins. Worst is how far the nearest end of a crossing
 * pair reaches through, metres: a joint rounded to the grid may reach through by less than the limit.
 */
export function checkNoCrossing({ wires, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('no-crossing', 'm', roundingM);
  for (let i = 0; i < wires.count; i++) {
    const [ax, ay, bx, by] = wires.abXy.subarray(i * 4, i * 4 + 4);
    for (const j of segmentsNear(wires, wires, i, 0)) {
      if (j <= i) continue;
      const [cx, cy, dx, dy] = wires.abXy.subarray(j * 4, j * 4 + 4);
      if (!segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) continue;
      const reachM = Math.min(
        pointSegmentM(ax, ay, cx, cy, dx, dy),
        pointSegmentM(bx, by, cx, cy, dx, dy),
        pointSegmentM(cx, cy, ax, ay, bx, by),
        pointSegmentM(dx, dy, ax, ay, bx, by),
      );
      worst.see(reachM, { x: (cx + dx) / 2, y: (cy + dy) / 2 });
    }
  }
  return worst.check();
}
