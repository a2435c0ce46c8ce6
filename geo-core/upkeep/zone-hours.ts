import type { SlopeSurvey, Zone } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { polygonPerimeterM } from '#geo-core/plane/measure.ts';
import { mowingShare } from './battery.ts';
import { fieldCapacityM2PerH, mowingH } from './coverage.ts';

/** Slope is asked at so many places of a zone. */
const SLOPE_PLACES = 24;
const GRAVITY_MPS2 = 9.81;

type Ground = Pick<Zone, 'polygons' | 'areaM2'>;

/** Hours a week on the grass. */
export function mowingHours(zone: Ground, rules: Rules): number {
  const capacity = fieldCapacityM2PerH(rules.speedMps, rules.cuttingWidthM, rules.efficiency);
  return mowingH(zone.areaM2, rules.passesPerWeek, capacity);
}

/** Hours a week by the clock: mowing, laps along the edge and charging. */
export function clockHours(zone: Ground, slope: SlopeSurvey | undefined, rules: Rules): number {
  const edgeM = zone.polygons.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0);
  const lapsH = (rules.edgeLapsPerWeek * edgeM) / (3600 * rules.speedMps);
  return (mowingHours(zone, rules) + lapsH) / mowingShare(runOnSlopeMin(zone, slope, rules), rules.chargeMin);
}

/**
 * Run on one charge, minutes, on the mean slope of a zone. Driving every way alike, a machine climbs slope x v / pi on average and gets
 * nothing back going down: power P grows by m g v slope / pi (work against gravity; the mean of the positive part of a cosine is 1 / pi).
 */
function runOnSlopeMin(zone: Ground, slope: SlopeSurvey | undefined, rules: Rules): number {
  if (slope === undefined) return rules.runMin;
  const known = zone.polygons
    .flatMap((polygon) => interiorPoints(polygon, SLOPE_PLACES))
    .map(({ x, y }) => slope.slopeAtPct(x, y))
    .filter((pct) => !Number.isNaN(pct));
  if (known.length === 0) return rules.runMin;
  const meanSlope = known.reduce((sum, pct) => sum + pct, 0) / known.length / 100;
  const climbW = (rules.massKg * GRAVITY_MPS2 * rules.speedMps * meanSlope) / Math.PI;
  return (rules.runMin * rules.mowPowerW) / (rules.mowPowerW + climbW);
}
