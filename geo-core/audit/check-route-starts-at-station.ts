import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Every station stands where a route begins, and every route begins at a station. Limit: the grid of the site. */
export function checkRouteStartsAtStation({ route, stations, site }: Evidence): AuditCheck {
  const worst = worstCase('route-starts-at-station', 'm', Math.max(1e-5, site.gridM));
  const starts = route.routes.map(({ line }) => ({ x: line[0], y: line[1] }));
  const places = stations.stations.map(({ at }) => at);
  for (const at of places) worst.see(nearestM(at, starts), at);
  for (const at of starts) worst.see(nearestM(at, places), at);
  return worst.check();
}

function nearestM({ x, y }: PlanePoint, places: readonly PlanePoint[]): number {
  return Math.min(...places.map((place) => distanceM(x, y, place.x, place.y)));
}
