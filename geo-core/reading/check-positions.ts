import { ProblemList, SiteError } from '#geo-core/model/problem.ts';
import type { PositionInput, SiteFeatureInput } from '#geo-core/model/site.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';
import { type PathToken, walkPositions } from './walk-positions.ts';

/** A site is one property: the local plane and the integer grid are made for this span. */
const SITE_SPAN_MAX_M = 10_000;

/** RFC 7946 keeps longitudes within 180 degrees; a site across the 180th meridian may run this far over it. */
const LON_MAX_DEG = 181;
const LAT_MAX_DEG = 90;
/** Beyond this no angle is meant any more. */
const ANGLE_MAX_DEG = 360;
/** Mean length of a degree of a great circle (WGS 84 mean radius 6,371,008.8 m): good to 0.6 %, enough to tell 10 km from more. */
const METRES_PER_DEGREE = 111_195;

const PROJECTED =
  'looks like metres of a projected system, not degrees: send the system with the site, for example crs=EPSG:28992, or reproject to WGS 84';
const SWAPPED = 'looks like latitude before longitude: GeoJSON wants longitude first (RFC 7946 section 3.1.1)';

/**
 * Throws a `SiteError` with every position that is no place on earth, or else with every position that lies too far from
 * the others for one property. Latitudes and longitudes are never guessed.
 */
export function checkPositions(features: readonly SiteFeatureInput[]): void {
  const list = new ProblemList();
  eachPosition(features, (position, path) => {
    const fault = faultOf(position);
    if (fault !== undefined) list.add(path, fault);
  });
  if (list.isEmpty) checkSpan(features, list);
  if (!list.isEmpty) throw new SiteError(list.problems, list.more);
}

function faultOf(position: PositionInput): string | undefined {
  const [lonDeg, latDeg] = position;
  if (lonDeg === undefined || latDeg === undefined) return 'a position has two numbers, longitude and latitude';
  if (!Number.isFinite(lonDeg) || !Number.isFinite(latDeg)) return `${lonDeg}, ${latDeg} are not finite numbers`;
  const lonFits = Math.abs(lonDeg) <= LON_MAX_DEG;
  const latFits = Math.abs(latDeg) <= LAT_MAX_DEG;
  if (lonFits && latFits) return undefined;
  const place = `${lonDeg}, ${latDeg}`;
  if (Math.abs(lonDeg) > ANGLE_MAX_DEG || Math.abs(latDeg) > ANGLE_MAX_DEG) return `${place} ${PROJECTED}`;
  if (!latFits && Math.abs(lonDeg) <= LAT_MAX_DEG && Math.abs(latDeg) <= LON_MAX_DEG) {
    return `latitude ${latDeg} is beyond ${LAT_MAX_DEG} degrees; ${place} ${SWAPPED}`;
  }
  return latFits
    ? `longitude ${lonDeg} is beyond 180 degrees: give it within -180 to 180`
    : `latitude ${latDeg} is beyond ${LAT_MAX_DEG} degrees: no such place`;
}

function checkSpan(features: readonly SiteFeatureInput[], list: ProblemList): void {
  const eastDeg: number[] = [];
  const latsDeg: number[] = [];
  let firstLonDeg: number | undefined;
  eachPosition(features, ([lonDeg, latDeg]) => {
    firstLonDeg ??= lonDeg;
    eastDeg.push(longitudeDifferenceDeg(lonDeg, firstLonDeg));
    latsDeg.push(latDeg);
  });
  if (firstLonDeg === undefined) return;
  const middleEastDeg = median(eastDeg);
  const middleLatDeg = median(latsDeg);
  const metresPerLonDegree = METRES_PER_DEGREE * Math.cos((middleLatDeg * Math.PI) / 180);
  const spanM = Math.max(spanOf(eastDeg) * metresPerLonDegree, spanOf(latsDeg) * METRES_PER_DEGREE);
  if (spanM <= SITE_SPAN_MAX_M) return;
  const from = firstLonDeg;
  eachPosition(features, ([lonDeg, latDeg], path) => {
    const eastM = Math.abs(longitudeDifferenceDeg(lonDeg, from) - middleEastDeg) * metresPerLonDegree;
    const northM = Math.abs(latDeg - middleLatDeg) * METRES_PER_DEGREE;
    const awayM = Math.max(eastM, northM);
    if (awayM > SITE_SPAN_MAX_M / 2) {
      list.add(
        path,
        `${lonDeg}, ${latDeg} lies ${kilometres(awayM)} km from the middle of the site, which may span ${kilometres(SITE_SPAN_MAX_M)} km: ` +
          'one site is one property; correct the position or send it as a site of its own',
      );
    }
  });
}

function eachPosition(
  features: readonly SiteFeatureInput[],
  visit: (position: PositionInput, path: readonly PathToken[]) => void,
): void {
  features.forEach(({ geometry }, index) => {
    if (geometry !== null) walkPositions(geometry, ['features', index, 'geometry'], visit);
  });
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
}

function spanOf(values: readonly number[]): number {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return most - least;
}

function kilometres(metres: number): string {
  return (metres / 1000).toFixed(1);
}
