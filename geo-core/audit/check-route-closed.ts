import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Each route ends where it begins. */
export function checkRouteClosed({ route }: Evidence): AuditCheck {
  const worst = worstCase('route-closed', 'm', 1e-9);
  for (const { line } of route.routes) {
    const [x, y] = [line[line.length - 2], line[line.length - 1]];
    worst.see(distanceM(line[0], line[1], x, y), { x, y });
  }
  return worst.check();
}
