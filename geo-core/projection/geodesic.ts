import geographiclib from 'geographiclib-geodesic';
import type { LonLat } from '#geo-core/model/position.ts';
import { sineCosine } from './portable-functions.ts';

const { WGS84 } = geographiclib.Geodesic;

/** Geodesics on the WGS 84 ellipsoid after C. F. F. Karney, J. Geodesy 87 (2013) 43-55: exact to nanometres at any distance. */

/** The shortest way between two points: metres, and its azimuths at both ends, degrees clockwise from north, (-180, 180]. */
export function geodesicInverse(
  from: LonLat,
  to: LonLat,
): { readonly distanceM: number; readonly azimuthDeg: number; readonly arrivalAzimuthDeg: number } {
  const { s12, azi1, azi2 } = WGS84.Inverse(from[1], from[0], to[1], to[0]);
  return { distanceM: s12 ?? Number.NaN, azimuthDeg: azi1 ?? Number.NaN, arrivalAzimuthDeg: azi2 ?? Number.NaN };
}

/** Area (m², counter-clockwise positive) and perimeter (m) of a ring of geodesics, first position not repeated. Holds across 180 degrees and round a pole. */
export function geodesicRing(ring: readonly LonLat[]): { readonly areaM2: number; readonly perimeterM: number } {
  const polygon = WGS84.Polygon(false);
  for (const [lonDeg, latDeg] of ring) polygon.AddPoint(latDeg, lonDeg);
  const { area, perimeter } = polygon.Compute(false, true);
  return { areaM2: area ?? 0, perimeterM: perimeter };
}

/** Metres that one degree takes on the WGS 84 ellipsoid at a latitude, north-south (M pi/180) and east-west (N cos(lat) pi/180). */
export function metresPerDegree(latDeg: number): { readonly latM: number; readonly lonM: number } {
  const { a, f } = WGS84;
  const squaredEccentricity = f * (2 - f);
  const radiansPerDegree = Math.PI / 180;
  const { sine, cosine } = sineCosine(latDeg * radiansPerDegree);
  const squaredW = 1 - squaredEccentricity * sine * sine;
  const w = Math.sqrt(squaredW);
  return {
    latM: ((a * (1 - squaredEccentricity)) / (squaredW * w)) * radiansPerDegree,
    lonM: (a / w) * cosine * radiansPerDegree,
  };
}
