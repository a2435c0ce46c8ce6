import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { eachPairNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * No wire crosses another, leads too; they may touch where a lead joins. Worst is how far the nearest end of a crossing
 * pair reaches through, metres: a joint rounded to the grid may reach through by less than the limit.
 */
export function checkNoCrossing({ wires, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('no-crossing', 'm', roundingM);
  const { abXy } = wires;
  eachPairNear(wires, wires, 0, (i, j) => {
    const [ax, ay, bx, by] = [abXy[4 * i], abXy[4 * i + 1], abXy[4 * i + 2], abXy[4 * i + 3]];
    const [cx, cy, dx, dy] = [abXy[4 * j], abXy[4 * j + 1], abXy[4 * j + 2], abXy[4 * j + 3]];
    if (!segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) return;
    const reachM = Math.min(
      pointSegmentM(ax, ay, cx, cy, dx, dy),
      pointSegmentM(bx, by, cx, cy, dx, dy),
      pointSegmentM(cx, cy, ax, ay, bx, by),
      pointSegmentM(dx, dy, ax, ay, bx, by),
    );
    worst.see(reachM, { x: (cx + dx) / 2, y: (cy + dy) / 2 });
  });
  return worst.check();
}
