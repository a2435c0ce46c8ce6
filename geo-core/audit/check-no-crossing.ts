import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import type { Evidence } from './evidence.ts';
import { pairsNear } from './segments.ts';
import { worstCase } from './worst-case.ts';

/**
 * No wire crosses another, leads too; they may touch where a lead joins. Worst is how far the nearest end of a crossing
 * pair reaches through, metres: a joint rounded to the grid may reach through by less than the limit.
 */
export function checkNoCrossing({ wires, roundingM }: Evidence): AuditCheck {
  const worst = worstCase('no-crossing', 'm', roundingM);
  const { abXy } = wires;
  const pairs = pairsNear(wires, wires, 0);
  for (let p = 0; p < pairs.length; p += 2) {
    const [i, j] = [4 * pairs[p], 4 * pairs[p + 1]];
    const [ax, ay, bx, by] = [abXy[i], abXy[i + 1], abXy[i + 2], abXy[i + 3]];
    const [cx, cy, dx, dy] = [abXy[j], abXy[j + 1], abXy[j + 2], abXy[j + 3]];
    if (!segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) continue;
    const reachM = Math.min(
      pointSegmentM(ax, ay, cx, cy, dx, dy),
      pointSegmentM(bx, by, cx, cy, dx, dy),
      pointSegmentM(cx, cy, ax, ay, bx, by),
      pointSegmentM(dx, dy, ax, ay, bx, by),
    );
    worst.see(reachM, { x: (cx + dx) / 2, y: (cy + dy) / 2 });
  }
  return worst.check();
}
