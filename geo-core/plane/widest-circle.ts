import type { Polygon } from '#geo-core/model/position.ts';
import { clearanceM, raiseWalls } from './clearance-walls.ts';
import { interiorPoints } from './interior-points.ts';
import { type Place, widestPlace } from './widest-place.ts';

/** Places from which the widest circle is climbed to. */
const STARTS = 12;

/** The widest circle of a polygon that climbing from a dozen places spread over it finds. Undefined without an inside. */
export function widestCircle(polygon: Polygon): Place | undefined {
  const walls = raiseWalls(polygon);
  if (walls === undefined) return undefined;
  return interiorPoints(polygon, STARTS)
    .map((start) => widestPlace(walls, start, clearanceM(walls, start.x, start.y, walls.spanM)))
    .reduce<Place | undefined>((best, place) => (best && best.radiusM >= place.radiusM ? best : place), undefined);
}
