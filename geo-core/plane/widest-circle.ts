import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { isClear, raiseWalls, type Walls } from './clearance-walls.ts';
import { interiorPoints } from './interior-points.ts';
import { polygonAreaM2, polygonPerimeterM } from './measure.ts';
import { pointInPolygon, ringsOf } from './polygons.ts';
import { type Peak, sampleRings, widestPeaks } from './widest-peaks.ts';
import { type Place, widestPlace } from './widest-place.ts';

/** Peaks of equal width (a long ridge) need not all be climbed: each climb follows its ridge. */
const MAX_CLIMBS = 32;
/** Samples this share of the widest radius apart tell it from others to a hundredth. */
const FINE_SHARE = 0.3;
/** Samples of the boundary at most; ground too narrow for them is climbed from places spread over it. */
const MAX_SAMPLES = 50_000;
const ON_WALL_M = 1e-4;

/** The widest circle of a polygon, the lowest and then the leftmost of equally wide ones. Undefined without an inside. */
export function widestCircle(polygon: Polygon): Place | undefined {
  const walls = raiseWalls(polygon);
  return walls && widestAnywhere(walls, polygon);
}

/** The same for a polygon whose walls stand already. */
export function widestAnywhere(walls: Walls, polygon: Polygon): Place | undefined {
  const perimeterM = polygonPerimeterM(polygon);
  // The ground along an outline, a widest radius deep, covers at least all of a convex polygon: radius >= area / perimeter.
  for (let leastM = Math.abs(polygonAreaM2(polygon)) / perimeterM; perimeterM < MAX_SAMPLES * leastM; leastM /= 4) {
    const found = widestFrom(walls, walls.rings, leastM, walls.holds);
    if (found !== undefined) return found;
  }
  const starts = interiorPoints(polygon, MAX_CLIMBS).map((at) => ({ at, radiusM: Number.POSITIVE_INFINITY }));
  return climb(walls, starts);
}

/** The widest circle of the whole ground inside the walls; undefined where none has `leastM` or more. */
export function widestInside(walls: Walls, leastM: number): Place | undefined {
  return enough(widestFrom(walls, walls.rings, leastM, walls.holds), leastM);
}

/** The widest circle that has its centre in a part of the ground, cut off along chords; it may reach over a chord. */
export function widestInPart(walls: Walls, part: Polygon, leastM: number): Place | undefined {
  const holds = (x: number, y: number): boolean => pointInPolygon(part, x, y);
  const found = enough(widestFrom(walls, ringsOf([part]), leastM, holds), leastM);
  return found !== undefined && holds(found.at.x, found.at.y) ? found : undefined;
}

function enough(place: Place | undefined, leastM: number): Place | undefined {
  return place !== undefined && place.radiusM >= leastM ? place : undefined;
}

function widestFrom(
  walls: Walls,
  rings: readonly Ring[],
  leastM: number,
  holds: (x: number, y: number) => boolean,
): Place | undefined {
  const isWall = (x: number, y: number): boolean => rings === walls.rings || !isClear(walls, x, y, ON_WALL_M);
  const rough = climb(walls, widestPeaks(sampleRings(rings, leastM, isWall), leastM, holds));
  const fineM = FINE_SHARE * (rough?.radiusM ?? leastM);
  if (fineM >= leastM) return rough;
  const atLeastM = Math.max(leastM, rough?.radiusM ?? 0);
  const fine = climb(walls, widestPeaks(sampleRings(rings, fineM, isWall), atLeastM, holds));
  return fine === undefined ? rough : wider(rough, fine);
}

/** The widest circle reached from the peaks, widest first; a peak no wider than what is reached already is not climbed. */
function climb(walls: Walls, peaks: readonly Peak[]): Place | undefined {
  let best: Place | undefined;
  for (const { at, radiusM } of peaks.slice(0, MAX_CLIMBS)) {
    if (best !== undefined && radiusM <= best.radiusM + 1e-9) break;
    best = wider(best, widestPlace(walls, at, Math.min(radiusM, walls.spanM)));
  }
  return best;
}

/** Of equally wide places (1e-7 m) the lowest, then the leftmost. */
function wider(a: Place | undefined, b: Place): Place {
  return a !== undefined && comparePlaces(a, b) <= 0 ? a : b;
}

export function comparePlaces(a: Place, b: Place): number {
  if (Math.abs(a.radiusM - b.radiusM) > 1e-7) return b.radiusM - a.radiusM;
  return Math.abs(a.at.y - b.at.y) > 1e-6 ? a.at.y - b.at.y : a.at.x - b.at.x;
}
