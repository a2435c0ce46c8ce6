import proj4 from 'proj4';
import { type LocalPlane, type LonLat, lonLat, type PlanePoint } from '#geo-core/model/position.ts';
import { longitudeDifferenceDeg, normalLongitudeDeg } from './longitude.ts';

export type LocalPlaneProjection = {
  /** WGS 84 degrees -> metres. Longitudes on either side of 180 degrees both work. Throws on NaN and infinities. */
  readonly toPlane: (lonDeg: number, latDeg: number) => PlanePoint;
  /** Metres -> WGS 84 degrees, longitude in (-180, 180]. Throws on NaN and infinities. */
  readonly toLonLat: (x: number, y: number) => LonLat;
};

/**
 * Transverse Mercator on the site's own meridian with scale 1 there (WGS 84; series after Karney, J. Geodesy 85 (2011)
 * 475-485): lengths off by x^2 / 2R^2, 1.2e-8 at 1 km from the origin. Build once per site, call per vertex.
 */
export function localPlaneProjection(plane: LocalPlane): LocalPlaneProjection {
  // Longitudes go in as differences from the origin, so that 180 degrees is a meridian like any other.
  const converter = proj4(`+proj=tmerc +lat_0=${plane.originLatDeg} +lon_0=0 +k=1 +datum=WGS84 +units=m +no_defs`);
  return {
    toPlane(lonDeg, latDeg) {
      const [x, y] = converter.forward([longitudeDifferenceDeg(lonDeg, plane.originLonDeg), latDeg]);
      return { x, y };
    },
    toLonLat(x, y) {
      const [differenceDeg, latDeg] = converter.inverse([x, y]);
      return lonLat(normalLongitudeDeg(plane.originLonDeg + differenceDeg), latDeg);
    },
  };
}
