import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Every station stands where a route begins, and every route begins at a station. Limit: the grid of the site. */
export function checkRouteStartsAtStation({ route, stations, site }: Evidence): AuditCheck {
  const worst = worstCase('route-starts-at-station', 'm', Math.max(1e-5, site.gridM));
  for (const { at } of stations.stations) {
    const gapsM = route.routes.map(({ line }) => distanceM(at.x, at.y, line[0], line[1]));
    worst.see(Math.min(...gapsM), at);
  }
  for (const { line } of route.routes) {
    const gapsM = stations.stations.map(({ at }) => distanceM(at.x, at.y, line[0], line[1]));
    worst.see(Math.min(...gapsM), { x: line[0], y: line[1] });
  }
  return worst.check();
}
