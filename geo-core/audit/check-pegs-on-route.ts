import type { AuditCheck, Route } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Every peg and splice is where its chainage says. Worst is the largest distance, metres. */
export function checkPegsOnRoute({ route, settingOut }: Evidence): AuditCheck {
  const worst = worstCase('pegs-on-route', 'm', 1e-3);
  const byUnit = new Map(route.routes.map((each) => [each.signalUnit, each]));
  for (const { at, chainageM, signalUnit } of [...settingOut.pegs, ...settingOut.splices]) {
    const place = placeAtChainage(byUnit.get(signalUnit), chainageM);
    worst.see(place === undefined ? Number.POSITIVE_INFINITY : distanceM(place.x, place.y, at.x, at.y), at);
  }
  return worst.check();
}

/** Undefined off the ends of the route. */
function placeAtChainage(route: Route | undefined, atM: number): PlanePoint | undefined {
  if (route === undefined || !(atM >= 0 && atM <= route.lengthM + 1e-9)) return undefined;
  let low = 0;
  let high = route.chainageM.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (route.chainageM[middle] <= atM) low = middle;
    else high = middle;
  }
  const stretchM = route.chainageM[high] - route.chainageM[low];
  const share = stretchM === 0 ? 0 : (atM - route.chainageM[low]) / stretchM;
  const { line } = route;
  const [ax, ay] = [line[2 * low], line[2 * low + 1]];
  return { x: ax + share * (line[2 * low + 2] - ax), y: ay + share * (line[2 * low + 3] - ay) };
}
