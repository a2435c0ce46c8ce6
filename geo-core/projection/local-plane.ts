import proj4 from 'proj4';
import { type LocalPlane, type LonLat, lonLat, type PlanePoint } from '#geo-core/model/position.ts';
import { longitudeDifferenceDeg, normalLongitudeDeg } from './longitude.ts';

/** As proj4js writes them, to the last bit. */
const RADIANS = 0.017_453_292_519_943_295;
const DEGREES = 57.295_779_513_082_32;

export type LocalPlaneProjection = {
  /** WGS 84 degrees -> metres. Longitudes on either side of 180 degrees both work. Throws on NaN and infinities. */
  readonly toPlane: (lonDeg: number, latDeg: number) => PlanePoint;
  /** Metres -> WGS 84 degrees, longitude in (-180, 180]. Throws on NaN and infinities. */
  readonly toLonLat: (x: number, y: number) => LonLat;
};

/** The plane asked for last: the first and the last stage of a plan, and everything drawn of it, ask for the same one. */
let last: { readonly lonDeg: number; readonly latDeg: number; readonly projection: LocalPlaneProjection } | undefined;

/**
 * Transverse Mercator on the site's own meridian with scale 1 there (WGS 84; series after Karney, J. Geodesy 85 (2011)
 * 475-485): lengths off by x^2 / 2R^2, 1.2e-8 at 1 km from the origin. Build once per site, call per vertex.
 */
export function localPlaneProjection({ originLonDeg: lonDeg, originLatDeg: latDeg }: LocalPlane): LocalPlaneProjection {
  if (last === undefined || !Object.is(last.lonDeg, lonDeg) || !Object.is(last.latDeg, latDeg))
    last = { lonDeg, latDeg, projection: build(lonDeg, latDeg) };
  return last.projection;
}

/** proj4js in radians and without its chain of datum shifts, none of which applies from WGS 84 to WGS 84. */
function build(originLonDeg: number, originLatDeg: number): LocalPlaneProjection {
  // Longitudes go in as differences from the origin, so that 180 degrees is a meridian like any other.
  const mercator = new proj4.Proj(`+proj=tmerc +lat_0=${originLatDeg} +lon_0=0 +k=1 +datum=WGS84 +units=m +no_defs`);
  return {
    toPlane(lonDeg, latDeg) {
      if (!Number.isFinite(lonDeg) || !Number.isFinite(latDeg)) throw notFinite(lonDeg, latDeg);
      const differenceDeg = longitudeDifferenceDeg(lonDeg, originLonDeg);
      const { x, y } = mercator.forward({ x: differenceDeg * RADIANS, y: latDeg * RADIANS });
      return { x, y };
    },
    toLonLat(x, y) {
      if (!Number.isFinite(x) || !Number.isFinite(y)) throw notFinite(x, y);
      const radians = mercator.inverse({ x, y });
      return lonLat(normalLongitudeDeg(originLonDeg + radians.x * DEGREES), radians.y * DEGREES);
    },
  };
}

function notFinite(first: number, second: number): TypeError {
  return new TypeError(`coordinates must be finite numbers, not ${first}, ${second}`);
}
