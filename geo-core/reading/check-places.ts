import { isObject } from '#geo-core/model/is-object.ts';
import type { ProblemList } from '#geo-core/model/problem.ts';
import type { PositionInput } from '#geo-core/model/site.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';
import { sineCosine } from '#geo-core/projection/portable-functions.ts';
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
  'looks like metres of a projected system, not degrees: name the system (crs=EPSG:28992, or a member "crs" in the file), or reproject to WGS 84';
const SWAPPED = 'looks like latitude before longitude: GeoJSON wants longitude first (RFC 7946 section 3.1.1)';

/** What a position of the site means: longitude and latitude, or a sentence that says why it is no place, or nothing (not looked at). */
export type Locate = (position: PositionInput) => PositionInput | string | undefined;

/**
 * Puts on `list` every position that is no place on earth, and of the others every one that lies too far from the rest for one
 * property. Latitudes and longitudes are never guessed. `features` may be as they came: what has not the structure of GeoJSON is
 * passed over.
 */
export function checkPlaces(features: readonly unknown[], list: ProblemList, locate: Locate = placeInDegrees): void {
  const span = new SiteSpan();
  eachPosition(features, (position, path) => {
    const place = locate(position);
    if (typeof place === 'string') list.add(path, place);
    else if (place !== undefined) span.add(place);
  });
  const awayM = span.measure();
  if (awayM === undefined) return;
  eachPosition(features, (position, path) => {
    const place = locate(position);
    if (place === undefined || typeof place === 'string' || awayM(place) <= SITE_SPAN_MAX_M / 2) return;
    list.add(
      path,
      `${position[0]}, ${position[1]} lies ${kilometres(awayM(place))} km from the middle of the site, which may span ` +
        `${kilometres(SITE_SPAN_MAX_M)} km: one site is one property; correct the position or send it as a site of its own`,
    );
  });
}

/** `Locate` for positions in longitude and latitude (WGS 84 degrees). */
export function placeInDegrees(position: PositionInput): PositionInput | string {
  return faultOf(position) ?? position;
}

function faultOf(position: PositionInput): string | undefined {
  const [lonDeg, latDeg] = position;
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

/** How far the places of a site reach, by longitude differences from the first of them (so that 180 degrees do not matter). */
class SiteSpan {
  readonly #eastDeg: number[] = [];
  readonly #latsDeg: number[] = [];
  #fromDeg: number | undefined;

  add([lonDeg, latDeg]: PositionInput): void {
    this.#fromDeg ??= lonDeg;
    this.#eastDeg.push(longitudeDifferenceDeg(lonDeg, this.#fromDeg));
    this.#latsDeg.push(latDeg);
  }

  /** Undefined where one property may reach so far; else how far (m) a place lies from the middle of the site. */
  measure(): ((place: PositionInput) => number) | undefined {
    const fromDeg = this.#fromDeg;
    if (fromDeg === undefined) return undefined;
    const middleEastDeg = median(this.#eastDeg);
    const middleLatDeg = median(this.#latsDeg);
    const metresPerLonDegree = METRES_PER_DEGREE * sineCosine((middleLatDeg * Math.PI) / 180).cosine;
    const spanM = Math.max(spanOf(this.#eastDeg) * metresPerLonDegree, spanOf(this.#latsDeg) * METRES_PER_DEGREE);
    if (spanM <= SITE_SPAN_MAX_M) return undefined;
    return ([lonDeg, latDeg]) =>
      Math.max(
        Math.abs(longitudeDifferenceDeg(lonDeg, fromDeg) - middleEastDeg) * metresPerLonDegree,
        Math.abs(latDeg - middleLatDeg) * METRES_PER_DEGREE,
      );
  }
}

function eachPosition(
  features: readonly unknown[],
  visit: (position: PositionInput, path: readonly PathToken[]) => void,
): void {
  for (const [index, feature] of features.entries()) {
    if (isObject(feature)) walkPositions(feature.geometry, ['features', index, 'geometry'], visit);
  }
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
