import { type LocalPlane, type LonLat, lonLat, type PlanePoint } from '#geo-core/model/position.ts';
import { longitudeDifferenceDeg, normalLongitudeDeg } from './longitude.ts';
import { transverseMercator } from './transverse-mercator.ts';

/** In a degree. */
const RADIANS = Math.PI / 180;

export type LocalPlaneProjection = {
  /** WGS 84 degrees -> metres. Longitudes on either side of 180 degrees both work. Throws on NaN and infinities. */
  readonly toPlane: (lonDeg: number, latDeg: number) => PlanePoint;
  /** Metres -> WGS 84 degrees, longitude in (-180, 180]. Throws on NaN and infinities. */
  readonly toLonLat: (x: number, y: number) => LonLat;
};

/**
 * Transverse Mercator on the site's own meridian with scale 1 there (WGS 84): lengths off by x^2 / 2R^2, 1.2e-8 at 1 km from
 * the origin. Build once per site, call per vertex.
 */
export function localPlaneProjection({ originLonDeg, originLatDeg, xAxis }: LocalPlane): LocalPlaneProjection {
  const { east, north } = xAxis ?? { east: 1, north: 0 };
  const originNorthM = transverseMercator.forward(0, originLatDeg * RADIANS).y;
  return {
    toPlane(lonDeg, latDeg) {
      if (!Number.isFinite(lonDeg) || !Number.isFinite(latDeg)) throw notFinite(lonDeg, latDeg);
      // Longitudes go in as differences from the origin, so that 180 degrees is a meridian like any other.
      const differenceDeg = longitudeDifferenceDeg(lonDeg, originLonDeg);
      const { x, y } = transverseMercator.forward(differenceDeg * RADIANS, latDeg * RADIANS);
      return { x: x * east + (y - originNorthM) * north, y: (y - originNorthM) * east - x * north };
    },
    toLonLat(x, y) {
      if (!Number.isFinite(x) || !Number.isFinite(y)) throw notFinite(x, y);
      const { lon, lat } = transverseMercator.inverse(x * east - y * north, x * north + y * east + originNorthM);
      return lonLat(normalLongitudeDeg(originLonDeg + lon / RADIANS), lat / RADIANS);
    },
  };
}

function notFinite(first: number, second: number): TypeError {
  return new TypeError(`coordinates must be finite numbers, not ${first}, ${second}`);
}
